import type { Against, CircuitFindings, ComparisonFound, LossFound } from '../../campaign/findings/schema.ts';
import type { SessionResult } from '../../campaign/results.ts';
import { foundOf } from '../findings/found.ts';
import { confounderWords } from '../findings/verdictWords.ts';
import type { Results } from '../readResults.ts';
import { MOST_RUNS, plansOf } from '../testDay.ts';
import type { CsvValue } from './csv.ts';
import type { DataTable } from './dataTable.ts';

const LOSS_COLUMNS = [
  'loss [s]',
  'loss low [s]',
  'loss high [s]',
  'loss level',
  'loss p',
  'loss q',
  'loss verdict',
  'least loss seen [s]',
];
const CHANGE_COLUMNS = [
  'against',
  'with',
  'laps before',
  'runs before',
  'days before',
  'laps after',
  'runs after',
  'days after',
  'change [s]',
  'change low [s]',
  'change high [s]',
  'change level',
  'change p',
  'change q',
  'scope',
  'change verdict',
  'least change seen [s]',
  'not ruled out',
];

const RANKED_COLUMNS = [
  'last session [s]',
  'remains [s]',
  'standard deviation [s]',
  'probability of a loss',
  'probability of being among the largest',
  'expected gain [s]',
  'transfer known',
];

type Ranked = CircuitFindings['next'][number] | CircuitFindings['nextByCause'][number];

const rankedValues = (n: Ranked): CsvValue[] => [
  n.lastS,
  n.remainingS,
  n.sdS,
  n.real,
  n.amongWorst,
  n.expectedS,
  n.transferKnown,
];

const lossValues = (l: LossFound | undefined): CsvValue[] =>
  l
    ? [
        l.lossS,
        l.interval?.lowS ?? null,
        l.interval?.highS ?? null,
        l.interval?.level ?? null,
        l.p,
        l.q,
        l.verdict,
        l.detectableS,
      ]
    : LOSS_COLUMNS.map(() => null);

const changeValues = (against: Against | undefined, c: ComparisonFound | undefined): CsvValue[] =>
  against && c
    ? [
        against.kind,
        against.with.join(' '),
        c.before.laps,
        c.before.runs,
        c.before.days,
        c.after.laps,
        c.after.runs,
        c.after.days,
        c.changeS,
        c.interval?.lowS ?? null,
        c.interval?.highS ?? null,
        c.interval?.level ?? null,
        c.p,
        c.q,
        c.scope,
        c.verdict,
        c.detectableS,
        confounderWords(against.confounders),
      ]
    : CHANGE_COLUMNS.map(() => null);

/** Every verdict on a session: its lap, corners and phases, against all that it is compared with. */
export function verdictsData(results: Results, session: SessionResult): DataTable {
  const found = foundOf(results, session.session);
  const parts = found
    ? [
        { corner: '', phase: '', cause: '', loss: found.lap as LossFound, of: (a: Against): ComparisonFound => a.lap },
        ...found.corners.map((loss, i) => ({
          corner: loss.corner,
          phase: '',
          cause: '',
          loss,
          of: (a: Against) => a.corners[i] as ComparisonFound,
        })),
        ...found.phases.map((loss, i) => ({
          corner: '',
          phase: loss.phase as string,
          cause: '',
          loss,
          of: (a: Against) => a.phases[i] as ComparisonFound,
        })),
        ...found.causes.map((loss) => ({
          corner: '',
          phase: '',
          cause: loss.group as string,
          loss,
          of: (a: Against) => a.causes.find(({ group }) => group === loss.group),
        })),
      ]
    : [];
  return {
    columns: ['corner', 'phase', 'cause', ...LOSS_COLUMNS, ...CHANGE_COLUMNS],
    rows: parts.flatMap(({ corner, phase, cause, loss, of }) => {
      const all = found!.against.length > 0 ? found!.against : [undefined];
      return all.map((a) => [corner, phase, cause, ...lossValues(loss), ...changeValues(a, a && of(a))]);
    }),
  };
}

/** Verdicts on one corner, session by session. */
export function cornerVerdictsData(results: Results, circuit: string, corner: string): DataTable {
  return {
    columns: ['session', 'date', 'stage', 'progress', ...LOSS_COLUMNS, ...CHANGE_COLUMNS],
    rows: results.campaign.findings.sessions.flatMap((found) => {
      const session = results.session(found.session);
      const loss = found.corners.find((c) => c.corner === corner);
      if (session?.circuit !== circuit || !loss) return [];
      const all = found.against.length > 0 ? found.against : [undefined];
      return all.map((a) => [
        found.session,
        session.date,
        session.stage,
        found.progress,
        ...lossValues(loss),
        ...changeValues(
          a,
          a?.corners.find((c) => c.corner === corner),
        ),
      ]);
    }),
  };
}

/** Verdicts on the whole lap of the sessions on the track. */
export function versionsData(results: Results, found: CircuitFindings): DataTable {
  return {
    columns: ['session', 'date', 'version', ...LOSS_COLUMNS, ...CHANGE_COLUMNS],
    rows: found.progress.flatMap((id) => {
      const session = results.session(id);
      const own = foundOf(results, id);
      if (!session || !own) return [];
      const all = own.against.length > 0 ? own.against : [undefined];
      return all.map((a) => [id, session.date, session.controller, ...lossValues(own.lap), ...changeValues(a, a?.lap)]);
    }),
  };
}

export const stepsData = ({ steps }: CircuitFindings): DataTable => ({
  columns: [
    'corner',
    'phase',
    'cause',
    'session',
    'session before',
    'version before',
    'version',
    'new version',
    'step [s]',
    'low [s]',
    'high [s]',
    'level',
    'p',
    'q',
    'not ruled out',
  ],
  rows: steps.map((s) => [
    s.corner,
    s.phase,
    s.group,
    s.session,
    s.previous,
    s.from,
    s.to,
    s.known,
    s.sizeS,
    s.lowS,
    s.highS,
    s.level,
    s.p,
    s.q,
    confounderWords(s.confounders),
  ]),
});

export const nextData = ({ next }: CircuitFindings): DataTable => ({
  columns: ['corner', 'phase', ...RANKED_COLUMNS],
  rows: next.map((n) => [n.corner, n.phase, ...rankedValues(n)]),
});

export const nextByCauseData = ({ nextByCause }: CircuitFindings): DataTable => ({
  columns: ['corner', 'cause', ...RANKED_COLUMNS],
  rows: nextByCause.map((n) => [n.corner, n.group, ...rankedValues(n)]),
});

export const targetsData = ({ forecast }: CircuitFindings): DataTable => ({
  columns: ['target', 'due', 'gap [s]', 'probability', 'foretold [s]', 'low [s]', 'high [s]'],
  rows: (forecast.made?.targets ?? []).map((t) => [t.name, t.due, t.gapS, t.probability, t.medianS, t.lowS, t.highS]),
});

export const fanData = ({ forecast }: CircuitFindings): DataTable => ({
  columns: ['date', 'foretold [s]', 'low [s]', 'high [s]', 'level'],
  rows: (forecast.made?.fan ?? []).map((f) => [f.date, f.medianS, f.lowS, f.highS, f.level]),
});

/** What the plan of a day takes, for two or three versions. */
export function needsData(results: Results, versions: number): DataTable {
  const { plans, lapS, runS, lapsPerRun } = plansOf(results);
  return {
    columns: [
      'difference [s]',
      'versions',
      'runs of each',
      'laps of each',
      'seen from [s]',
      'laps a run needed',
      'order',
      'lap scatter [s]',
      'run scatter [s]',
      'laps a run',
      'room for runs',
    ],
    rows: plans
      .filter((p) => p.versions === versions)
      .map(({ effectS, plan }) => [
        effectS,
        versions,
        plan.runsPerVersion,
        plan.runsPerVersion === null ? null : plan.lapsPerVersion,
        plan.detectableS,
        plan.lapsPerRunNeeded,
        plan.order.join(' '),
        lapS,
        runS,
        lapsPerRun,
        MOST_RUNS,
      ]),
  };
}
