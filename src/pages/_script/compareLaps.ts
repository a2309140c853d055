import type { CompareData, ComparedLap } from '../../report/compareData.ts';
import { digitsFor, gapWords, kmhNumber, lapTime, plusMinus, sentence, signed, speedText } from '../../report/words.ts';
import { kmh } from '../../units.ts';
import { keepInAddress, stateOf } from './address.ts';
import { gapBetween, speedsOfTwo } from './comparedFigures.ts';
import { Cursor } from './cursor.ts';
import { type Difference, difference } from './difference.ts';
import { answer, gapCaption, speedCaption, windowRows } from './differenceWords.ts';
import { element } from './element.ts';
import { alongAxis } from './marks.ts';
import { type Reading, readingsRow, speak } from './readings.ts';
import { toneOf } from './readLap.ts';
import { between } from './samples.ts';
import { keepCursor, keysText, leadTo } from './sharedCursor.ts';
import { surface } from './surface.ts';

const NAME = 'laps';
const KEYS_HELP = 'cursor-keys';

/** Puts a section on the page of a session in which any two of its laps are compared. */
export function compareLaps(): void {
  const place = document.getElementById('compare');
  const text = document.getElementById('compare-data')?.textContent;
  if (!place || !text) return;
  const data = JSON.parse(text) as CompareData;
  const lapOf = (key: string | undefined): ComparedLap | undefined => data.laps.find((lap) => lap.key === key);
  const fromAddress = (): [ComparedLap, ComparedLap] | null => {
    const [a, b] = stateOf(location.hash)[NAME]?.split(',').map(lapOf) ?? [];
    return a && b ? [a, b] : null;
  };
  let [first, second] = fromAddress() ?? [lapOf(data.first[0])!, lapOf(data.first[1])!];
  let current = difference(data, first, second);

  const choice = [select('First lap', data), select('Second lap', data)] as const;
  const words = element('p', { class: 'words', role: 'status' });
  const shown = element('div', { class: 'compared' });
  const section = element(
    'section',
    { class: 'compare', id: 'compare', 'aria-labelledby': 'compare-heading' },
    element('h2', { id: 'compare-heading' }, 'Two laps against each other'),
    element('p', { class: 'choice' }, choice[0], ' against ', choice[1]),
    words,
    shown,
  );
  const cursor = new Cursor(data);
  const readings = readingsOf(() => current);
  const number = document.querySelectorAll('main figure').length + 1;
  const gap = figure('compared-gap', `Figure ${number}`, 'The gap between the two');
  const speeds = figure('compared-speeds', `Figure ${number + 1}`, 'Their speeds');
  const table = windowTable();
  draw();
  shown.append(gap.whole, speeds.whole, table.whole);
  place.replaceWith(section);

  for (const part of [gap, speeds]) {
    const frame = surface(
      part.drawings().map((svg) => alongAxis(svg, data.lengthM)),
      cursor,
      `Read ${part.number} along the lap`,
      KEYS_HELP,
    );
    frame.after(readingsRow(cursor, readings));
  }
  gap.whole.querySelector('figcaption')!.append(keysText(KEYS_HELP, cursor.stepM));
  section.append(speak(cursor, readings));
  keepCursor(cursor);
  if (cursor.stationM !== null || fromAddress()) leadTo(section);

  for (const [i, own] of choice.entries())
    own.addEventListener('change', () => {
      choose(i === 0 ? lapOf(own.value)! : first, i === 0 ? second : lapOf(own.value)!);
      keepInAddress(NAME, `${first.key},${second.key}`);
    });
  addEventListener('hashchange', () => {
    const pair = fromAddress();
    if (pair) choose(...pair);
  });

  function choose(a: ComparedLap, b: ComparedLap): void {
    [first, second] = [a, b];
    current = difference(data, a, b);
    draw();
    cursor.refresh();
  }

  function draw(): void {
    choice[0].value = first.key;
    choice[1].value = second.key;
    shown.hidden = first === second;
    if (first === second) {
      words.textContent = 'This is the same lap twice. Choose another to compare it with.';
      return;
    }
    words.textContent = answer(current);
    const [a, b] = [first.name, second.name];
    const gapFinding = gapCaption(current);
    gap.draw(
      gapBetween(current, data, `${gap.title}. ${gapFinding}`),
      gapFinding,
      `Gap = time of ${a} minus that of ${b} at the same place; rising is losing. The band is the 90\u202f% interval, rather too wide for laps of one run; corners are shaded.`,
    );
    const speedFinding = speedCaption(current);
    const ink = (lap: ComparedLap, other: string): string => (lap.reference ? 'Thin and grey' : other);
    speeds.draw(
      speedsOfTwo(current, data, `${speeds.title}. ${speedFinding}`),
      speedFinding,
      `${ink(first, 'Solid')}: ${a}. ${ink(second, first.reference ? 'Solid' : 'Dashed')}: ${b}. Between them and in the strip: warm where ${a} is slower, cool where it is faster.`,
    );
    table.draw();
    for (const part of [gap, speeds]) part.source(sourceOf(first, sentence(first.name)), sourceOf(second, second.name));
  }

  function windowTable(): { whole: HTMLElement; draw(): void } {
    const caption = element('caption', { id: 'compared-caption' });
    const head = element('thead');
    const body = element('tbody');
    const foot = element('tfoot');
    const note = element('p', { class: 'under' });
    const whole = element(
      'div',
      { class: 'table tiny' },
      element(
        'section',
        { class: 'scroll', tabindex: '0', 'aria-labelledby': 'compared-caption' },
        element('table', {}, caption, head, body, foot),
      ),
      note,
    );
    return {
      whole,
      draw() {
        const { rows, total, whole: adds } = windowRows(current);
        caption.textContent = `Time that ${first.name} loses (+) and gains (−) against ${second.name}, by corner`;
        const columns: [string, string][] = [
          ['corner', ''],
          ['lost', 's'],
          ['±', 's'],
          [`slowest, ${short(first)}`, 'km/h'],
          [`slowest, ${short(second)}`, 'km/h'],
        ];
        head.replaceChildren(
          element(
            'tr',
            {},
            ...columns.map(([title, unit], i) =>
              element(
                'th',
                { scope: 'col', class: i > 0 ? 'number' : null },
                title,
                unit ? element('span', { class: 'unit' }, unit) : null,
              ),
            ),
          ),
        );
        const tr = (row: (typeof rows)[number]): HTMLElement =>
          element(
            'tr',
            {},
            element('th', { scope: 'row' }, row.title),
            element('td', { class: row.tone || null }, row.gap),
            ...[row.doubt, row.slowest, row.otherSlowest].map((text) => element('td', {}, text)),
          );
        body.replaceChildren(...rows.map(tr));
        foot.replaceChildren(tr(total));
        const ledgers = [first, second]
          .filter((lap) => !lap.reference)
          .flatMap((lap) => [
            ` Ledger of ${lap.name}: `,
            link(lap, 'ledger', 'CSV'),
            ' · ',
            link(lap, 'ledger', 'JSON'),
            '.',
          ]);
        note.replaceChildren(
          `${adds ? 'Rounded so that the corners add up to the lap.' : 'The corners do not add up to the lap: the rest lies where one of the two has no data.'} Grey italics: not distinguishable from noise.`,
          element('span', { class: 'links' }, ...ledgers),
        );
      },
    };
  }
}

function select(name: string, data: CompareData): HTMLSelectElement {
  return element(
    'select',
    { 'aria-label': name },
    ...data.laps.map(({ key, name: lap, timeS, aside }) =>
      element('option', { value: key }, `${sentence(lap)} · ${lapTime(timeS)}${aside ? `, ${aside}` : ''}`),
    ),
  );
}

/** As the head of a column. */
const short = (lap: ComparedLap): string => lap.name.replace(/^the /, '');

const link = (lap: ComparedLap, table: string, form: 'CSV' | 'JSON'): HTMLElement =>
  element(
    'a',
    { href: `${lap.tables}/${table}.${form.toLowerCase()}`, 'aria-label': `${table} of ${lap.name}, ${form}` },
    form,
  );

const sourceOf = (lap: ComparedLap, words: string): Node[] => [
  element('a', { href: lap.href }, words),
  document.createTextNode(' ('),
  link(lap, 'curves', 'CSV'),
  document.createTextNode(', '),
  link(lap, 'curves', 'JSON'),
  document.createTextNode(')'),
];

interface ComparedFigure {
  readonly whole: HTMLElement;
  readonly number: string;
  readonly title: string;
  drawings(): SVGSVGElement[];
  draw(forms: readonly string[], finding: string, key: string): void;
  source(first: readonly Node[], second: readonly Node[]): void;
}

/** A figure set as those that the page came with; drawn again its drawings stay the same elements. */
function figure(id: string, number: string, title: string): ComparedFigure {
  const finding = document.createTextNode('');
  const key = document.createTextNode('');
  const source = element('span');
  const whole = element(
    'figure',
    { id },
    element(
      'figcaption',
      {},
      element('p', {}, element('strong', {}, `${number}. ${title}.`), ' ', finding),
      element('p', { class: 'key' }, key, ' ', source),
    ),
  );
  const drawings = (): SVGSVGElement[] => [...whole.querySelectorAll<SVGSVGElement>('svg.drawing')];
  return {
    whole,
    number,
    title,
    drawings,
    draw(forms, text, keyText) {
      finding.data = text;
      key.data = keyText;
      const old = drawings();
      for (const [i, markup] of forms.entries()) {
        const fresh = svgOf(markup);
        const kept = old[i];
        if (!kept) whole.querySelector('figcaption')!.before(fresh);
        else {
          kept.setAttribute('aria-label', fresh.getAttribute('aria-label')!);
          kept.replaceChildren(...fresh.childNodes, ...kept.querySelectorAll(':scope > .cursor'));
        }
      }
    },
    source(first, second) {
      source.replaceChildren(...first, ' against ', ...second, '.');
    },
  };
}

function svgOf(markup: string): SVGSVGElement {
  const template = element('template');
  template.innerHTML = markup;
  return template.content.querySelector('svg')!;
}

function readingsOf(current: () => Difference): Reading[] {
  const at = (curve: (of: Difference) => Float64Array, s: number): number => {
    const of = current();
    return between(of.stationM, curve(of), s);
  };
  const gap = (s: number): number => at((of) => of.gapS, s);
  const speed = (s: number): number => at((of) => of.speedMps, s);
  const other = (s: number): number => at((of) => of.otherMps, s);
  const digits = (): number => digitsFor(current().totalSigmaS);
  return [
    {
      title: () => 'gap so far, s',
      text: (s) =>
        [
          signed(gap(s), digits()),
          plusMinus(
            at((of) => of.sigmaS, s),
            digits(),
          ),
        ]
          .filter(Boolean)
          .join(' '),
      spoken: (s) => `Gap ${gapWords(gap(s), null, digits())}`,
    },
    {
      title: () => `${short(current().first)}, km/h`,
      text: (s) => kmhNumber(speed(s)),
      spoken: (s) => `${sentence(current().first.name)} ${speedText(speed(s), 0)}`,
    },
    {
      title: () => `${short(current().second)}, km/h`,
      text: (s) => kmhNumber(other(s)),
      spoken: (s) => `${sentence(current().second.name)} ${speedText(other(s), 0)}`,
    },
    {
      title: () => 'difference, km/h',
      text: (s) => signed(kmh(speed(s) - other(s)), 1),
      spoken: () => '',
      tone: (s) => toneOf(speed(s) - other(s)),
    },
  ];
}
