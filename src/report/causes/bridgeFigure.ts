import type { LapCauses } from '../../causes/schema.ts';
import { figureOf } from '../figureOf.ts';
import { bridge, type Step } from '../figures/bridge.ts';
import { sessionPath, type TableLinks, tableLinks } from '../paths.ts';
import type { LapOf, Results } from '../readResults.ts';
import type { Doubt, Figure, Piece, Table } from '../report.ts';
import { rounded } from '../rounded.ts';
import { lapSource } from '../sources.ts';
import { lapTime, listWords, number, seconds, sentence, signed, Z_90 } from '../words.ts';
import { GROUP_TITLES, REFUSALS, UNTOLD } from './names.ts';
import { isNoise, type Told, toldOfLap } from './told.ts';

/** Digits of seconds by cause: doubt is some hundredths. */
export const CAUSE_DIGITS = 2;
/** Lines below this are put with the rest, s. */
const LEAST_S = 0.005;

/** The same where a page is about several laps: the one that stands for them, named before the caption. */
export function bridgeTo(
  results: Results,
  called: 'median lap' | 'best lap',
  of: LapOf,
  causes: LapCauses,
  referenceS: number,
  own: Pick<Parameters<typeof bridgeFigure>[1], 'number' | 'doubts' | 'half' | 'id'>,
): Figure {
  const { session, run, lap } = of;
  return bridgeFigure(causes, {
    title: `From the reference lap to the ${called}, by cause`,
    from: `reference, ${lapTime(referenceS, 2)}`,
    to: `${called}, ${lapTime(lap.timeS, 2)}`,
    whose: `On the ${called}, lap ${lap.lap} of ${run.file}: `,
    source: lapSource(results, of),
    links: tableLinks(sessionPath(session.session), 'causes'),
    ...own,
  });
}

/** The way from the reference lap to a lap by cause, as a figure with its data. */
export function bridgeFigure(
  causes: LapCauses,
  {
    number: figureNumber,
    from,
    to,
    whose,
    source,
    doubts,
    links,
    half = false,
    id = 'bridge',
    title = 'From the reference lap to this one, by cause',
  }: {
    number: number;
    from: string;
    to: string;
    /** Set before the caption where the page is not about this lap alone. */
    whose: string;
    source: readonly Piece[];
    doubts: readonly Doubt[];
    links: TableLinks;
    /** Whether it stands beside another figure. */
    half?: boolean;
    id?: string;
    title?: string;
  },
): Figure {
  const steps = stepsOf(causes);
  return figureOf(
    {
      id,
      number: figureNumber,
      title,
      caption: `${whose}${bridgeCaption(causes.gapS, steps)}`,
      key: `Each bar begins where the last one ended; speed that is missing later on is charged to the cause that lost it.${causes.draws > 0 ? ' Whiskers: 90\u202f%.' : ''} Open: not told from noise.`,
      source,
      table: bridgeTable(`${id}-data`, causes, steps, links),
      doubts,
    },
    (form, _, name) => bridge(form, name, { steps, from, to, digits: CAUSE_DIGITS }),
    half,
  );
}

/** What is left beside the steps that are drawn. */
const REST = GROUP_TITLES.residual;

interface NamedStep extends Step {
  readonly why: Told['why'];
}

/** Lines of the lap that are large enough to draw, and the rest; rounded so that they add up to what is shown of the gap. */
function stepsOf(causes: LapCauses): NamedStep[] {
  const lines = toldOfLap(causes);
  const large = lines.filter((l) => l.group !== 'residual' && Math.abs(l.gapS) >= LEAST_S);
  const restS = causes.gapS - large.reduce((sum, { gapS }) => sum + gapS, 0);
  const rest = causes.groups.find(({ group }) => group === 'residual');
  const half = rest?.highS == null || rest.lowS == null ? null : (rest.highS - rest.lowS) / 2;
  const steps: NamedStep[] = [
    ...large.map((l) => ({ ...l, noise: isNoise(l) })),
    {
      title: REST,
      gapS: restS,
      lowS: half === null ? null : restS - half,
      highS: half === null ? null : restS + half,
      noise: half === null ? Math.abs(restS) < 0.02 : Math.abs(restS) <= half,
      why: null,
    },
  ];
  const shown = rounded(
    steps.map(({ gapS }) => gapS),
    CAUSE_DIGITS,
    causes.gapS,
  );
  return steps.map((step, i) => {
    const by = shown[i]! - step.gapS;
    return {
      ...step,
      gapS: shown[i]!,
      lowS: step.lowS === null ? null : step.lowS + by,
      highS: step.highS === null ? null : step.highS + by,
    };
  });
}

/** `0.31 ± 0.04 s`; the interval only where there is one. */
export function causeSeconds({ gapS, lowS, highS }: Pick<Told, 'gapS' | 'lowS' | 'highS'>): string {
  const sigma = lowS === null || highS === null ? null : (highS - lowS) / 2 / Z_90;
  return seconds(Math.abs(gapS), sigma, CAUSE_DIGITS);
}

/** In the seconds that the figure shows. */
function bridgeCaption(gapS: number, steps: readonly NamedStep[]): string {
  const lines = steps.filter(({ title, noise }) => title !== REST && !noise);
  const lost = lines.filter(({ gapS }) => gapS > 0).toSorted((x, y) => y.gapS - x.gapS);
  const [first, ...others] = lost;
  const gained = lines.filter(({ gapS }) => gapS < -0.01).toSorted((x, y) => x.gapS - y.gapS);
  const gains = gained[0] ? ` ${sentence(gained[0].title)} gains ${causeSeconds(gained[0])}.` : '';
  if (!first) return `No cause loses more than can be told from noise.${gains}`;
  const next = others.slice(0, 2).map((l) => `${l.title} ${causeSeconds(l)}`);
  return `${sentence(first.title)} costs most, ${causeSeconds(first)} of a gap of ${signed(gapS, CAUSE_DIGITS)}\u202fs${next.length ? `; then ${listWords(next)}` : ''}.${gains}`;
}

function bridgeTable(id: string, causes: LapCauses, steps: readonly NamedStep[], links: TableLinks): Table {
  const drawn = causes.draws > 0;
  const note = causes.untold.map((u) => UNTOLD[u]).join(' ');
  return {
    id,
    caption: 'The gap by cause over the lap',
    columns: [
      { title: 'cause', kind: 'text' },
      { title: 'lost', unit: 's', kind: 'number' },
      ...(drawn ? ([{ title: '90 %', unit: 's', kind: 'number' }] as const) : []),
      { title: 'remark', kind: 'text' },
    ],
    rows: steps.map((step) => [
      { text: step.title },
      { text: signed(step.gapS, CAUSE_DIGITS), ...(step.noise ? { tone: 'noise' as const } : {}) },
      ...(drawn
        ? [
            {
              text:
                step.lowS === null ? '' : `${number(step.lowS, CAUSE_DIGITS)} to ${number(step.highS, CAUSE_DIGITS)}`,
            },
          ]
        : []),
      { text: step.why ? REFUSALS[step.why].full : '' },
    ]),
    ...links,
    ...(note ? { note } : {}),
  };
}
