import type { CircuitView, SessionResult } from '../campaign/results.ts';
import { cornerWords } from './cells.ts';
import { figureOf } from './figureOf.ts';
import { matrix } from './figures/matrix.ts';
import { frontPath, sessionPath, slug, tableLinks } from './paths.ts';
import type { Results } from './readResults.ts';
import type { Cell, Figure, Table } from './report.ts';
import { robotDays } from './robotDays.ts';
import { daysSource } from './sources.ts';
import { surfaceRemark } from './surfaceRemark.ts';
import type { Rollup, Rollups } from './tables/rollups.ts';
import { isoDate, MISSING, number, plural, seconds, sentence, signed } from './words.ts';

/** Sessions that the figure has room for; its files hold all. */
const MOST_SESSIONS = 24;
const DIGITS = 2;

/** A session's name in a row: as it is where it is short. */
export const shortName = (name: string, most: number): string => {
  const letters = [...name];
  return letters.length > most ? `${letters.slice(0, most - 1).join('')}…` : name;
};

interface Day {
  readonly session: SessionResult;
  readonly lap: Rollup;
  readonly corners: readonly (Rollup | null)[];
}

/** Sessions down, corners across: where the campaign lost its time and where it came back. Null below two sessions. */
export function campaignMatrix(
  results: Results,
  rolled: Rollups,
  circuit: CircuitView,
  figureNumber: number,
): Figure | null {
  const of = new Map(rolled.corners.map((r) => [`${r.session}\n${r.corner}`, r]));
  const laps = new Map(rolled.sessions.map((r) => [r.session, r]));
  const days: Day[] = results.sessions.flatMap((session) => {
    const lap = laps.get(session.session);
    if (!lap || session.circuit !== circuit.id) return [];
    return [{ session, lap, corners: circuit.corners.map((c) => of.get(`${session.session}\n${c.name}`) ?? null) }];
  });
  if (days.length < 2 || circuit.corners.length === 0) return null;
  const shown = days.slice(-MOST_SESSIONS).reverse();
  const cut =
    shown.length < days.length
      ? ` The latest ${shown.length} of ${plural(days.length, 'session')}; the files hold all.`
      : '';
  return figureOf(
    {
      id: 'matrix',
      number: figureNumber,
      title: 'The campaign, corner by corner',
      caption: finding(days, circuit),
      key: `One row a session, latest on top; disc: track, square: bench, ring: simulation. The area of a square is the time lost there, mean of the counted laps; means add up along a row. Dashed squares: not distinguishable from noise.${cut}`,
      source: daysSource(robotDays(results, circuit.id)),
      table: table(shown, circuit),
      doubts: [],
    },
    (form, id, name) =>
      matrix(form, id, name, {
        corners: circuit.corners.map((c) => c.name),
        rows: shown.map(({ session, lap, corners }) => ({
          title: shortName(session.session, form.name === 'wide' ? 22 : 34),
          remark: surfaceRemark(session),
          stage: session.stage,
          meanS: lap.meanS,
          cells: corners,
        })),
        digits: DIGITS,
      }),
  );
}

const range = (r: Rollup): string =>
  r.laps > 1
    ? ` (${signed(r.leastS, DIGITS)} to ${signed(r.greatestS, DIGITS)} over ${plural(r.laps, 'lap')})`
    : ' (one lap)';

/** What costs most now, how often it did, and which corner has come down most between the first and the last day. */
function finding(days: readonly Day[], circuit: CircuitView): string {
  const last = days.findLast((d) => d.session.stage === 'track') ?? days.at(-1)!;
  const alike = days.filter(
    (d) => d.session.stage === last.session.stage && surfaceRemark(d.session) === surfaceRemark(last.session),
  );
  const first = alike[0]!;
  const worst = (d: Day): number =>
    d.corners.reduce((w, r, i) => ((r?.meanS ?? 0) > (d.corners[w]?.meanS ?? 0) ? i : w), 0);
  const now = worst(last);
  const most = last.corners[now];
  if (!most || most.meanS <= 0) return `No corner loses in the mean on ${isoDate(last.session.date)}.`;
  const name = (i: number): string => cornerWords(circuit.corners[i]!.name);
  const often = alike.filter((d) => worst(d) === now).length;
  const lead = `${sentence(name(now))} costs most on ${isoDate(last.session.date)}, ${seconds(most.meanS, null, DIGITS)} in the mean${range(most)}${often === alike.length || alike.length < 3 ? '' : often === 1 ? `, for the first time in ${plural(alike.length, `${last.session.stage} session`)}` : `, as in ${often} of ${plural(alike.length, `${last.session.stage} session`)}`}.`;
  if (first === last) return lead;
  const falls = circuit.corners.map((_, i) => {
    const [a, b] = [first.corners[i], last.corners[i]];
    return a && b ? a.meanS - b.meanS : Number.NEGATIVE_INFINITY;
  });
  const best = falls.reduce((w, fall, i) => (fall > falls[w]! ? i : w), 0);
  const [a, b] = [first.corners[best], last.corners[best]];
  if (!a || !b || falls[best]! <= 0) return `${lead} No corner costs less than on ${isoDate(first.session.date)}.`;
  const apart = b.greatestS < a.leastS;
  return `${lead} ${sentence(name(best))} changed most since ${isoDate(first.session.date)}: ${signed(a.meanS, DIGITS)} then, ${signed(b.meanS, DIGITS)}\u202fs now, ${apart ? 'every lap of now below every lap of then' : 'with laps of both days in the same range'}.`;
}

function table(shown: readonly Day[], circuit: CircuitView): Table {
  return {
    id: 'matrix-data',
    caption: 'Mean loss by session and corner; rows add up to the mean gap of the counted laps',
    columns: [
      { title: 'session', kind: 'text' },
      { title: 'laps', kind: 'number' },
      ...circuit.corners.map((c) => ({ title: c.name, unit: 's', kind: 'number' as const })),
      { title: 'lap', unit: 's', kind: 'number' },
    ],
    rows: shown.map(({ session, lap, corners }): Cell[] => [
      { text: session.session, href: sessionPath(session.session) },
      { text: number(lap.laps) },
      ...corners.map(
        (r): Cell =>
          r
            ? { text: signed(r.meanS, DIGITS), ...(r.leastS < 0 && r.greatestS > 0 ? { tone: 'noise' as const } : {}) }
            : { text: MISSING, tone: 'quiet' },
      ),
      { text: signed(lap.meanS, DIGITS), tone: 'strong' },
    ]),
    ...tableLinks(frontPath, `matrix-${slug(circuit.id)}`),
    more: [
      { text: 'by phase as well, CSV', href: tableLinks(frontPath, 'phases').csv },
      { text: 'JSON', href: tableLinks(frontPath, 'phases').json },
    ],
  };
}

/** What each stage and configuration lost on a circuit, by phase; null where nothing compares. */
export function configurationTable(rolled: Rollups, circuit: CircuitView): Table | null {
  const own = rolled.configurations.filter((c) => c.circuit === circuit.id);
  if (own.length === 0) return null;
  const amount = (r: Rollup | null): Cell => {
    if (!r) return { text: MISSING, tone: 'quiet' };
    return {
      text: signed(r.meanS, DIGITS),
      ...(r.laps > 1 ? { aside: `${signed(r.leastS, DIGITS)} to ${signed(r.greatestS, DIGITS)}` } : {}),
    };
  };
  const order = ['track', 'bench', 'simulation'];
  const sorted = own
    .map((c, i) => ({ c, i }))
    .sort((a, b) => order.indexOf(a.c.stage) - order.indexOf(b.c.stage) || b.i - a.i)
    .map(({ c }) => c);
  const shown = sorted.slice(0, MOST_SESSIONS);
  return {
    id: 'configurations',
    caption: 'Stage by stage, latest configuration first: mean of the counted laps; small: least to greatest',
    columns: [
      { title: 'session', kind: 'text' },
      { title: 'stage', kind: 'text' },
      { title: 'controller', kind: 'text' },
      { title: 'configuration', kind: 'text' },
      { title: 'laps', kind: 'number' },
      { title: 'braking', unit: 's', kind: 'number' },
      { title: 'apex', unit: 's', kind: 'number' },
      { title: 'drive', unit: 's', kind: 'number' },
      { title: 'lap', unit: 's', kind: 'number' },
    ],
    rows: shown.map((c): Cell[] => {
      const day = c.sessions.at(-1)!;
      return [
        {
          text: shortName(day, 30),
          href: sessionPath(day),
          ...(c.sessions.length > 1 ? { aside: `and ${plural(c.sessions.length - 1, 'session')} before` } : {}),
        },
        { text: c.stage },
        c.controller ? { text: c.controller } : { text: MISSING, tone: 'quiet' },
        { text: c.configurationHash.slice(0, 8) },
        { text: number(c.total.laps) },
        amount(c.phases.braking),
        amount(c.phases.apex),
        amount(c.phases.drive),
        { ...amount(c.total), tone: 'strong' },
      ];
    }),
    ...tableLinks(frontPath, 'configurations'),
    note: `${shown.length < sorted.length ? `The first ${shown.length} of ${sorted.length} configurations; the files hold all. ` : ''}The three phases of a row add up to its lap. Stages do not compare with each other without their own uncertainty: a simulation shows what the planner asks for.`,
  };
}
