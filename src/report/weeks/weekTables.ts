import type { ComparisonFound } from '../../campaign/findings/schema.ts';
import type { SessionResult } from '../../campaign/results.ts';
import { weekNamed, weekOf } from '../../read/isoWeek.ts';
import { MEDIAN_DIGITS } from '../medians.ts';
import { lapsOf } from '../notes/overLaps.ts';
import { latestSession } from '../now.ts';
import { sessionPath, tableLinks, weekPath } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Cell, Table } from '../report.ts';
import { summary } from '../summary.ts';
import { surfaceRemark } from '../surfaceRemark.ts';
import { lapTime, MISSING, metres, number, plural, signed } from '../words.ts';
import { causeChange } from './causeChange.ts';
import { type Change, changeOf, changeTable, lapsOfAll, whole } from './change.ts';
import { changedCell, changeFound } from './changed.ts';

/** A week with the sessions that speak for it and for the one it is compared with. */
export interface WeekOf {
  readonly week: string;
  readonly sessions: readonly SessionResult[];
  /** The session that speaks for it; null where nothing compares. */
  readonly now: SessionResult | null;
  /** The last one before this week, of the same circuit, stage and surface; null where there is none. */
  readonly before: SessionResult | null;
}

/** Sorts out what a week is about. */
export function weekSessions(results: Results, week: string): WeekOf {
  const { sessions } = results;
  const monday = weekNamed(week)?.monday ?? '';
  const own = sessions.filter((s) => weekOf(s.date).name === week);
  const now = latestSession(results, own);
  const before = now
    ? (sessions.findLast(
        (s) =>
          s.date < monday &&
          s.stage === now.stage &&
          s.circuit === now.circuit &&
          surfaceRemark(s) === surfaceRemark(now) &&
          s.rider.kind === 'robot' &&
          s.summary?.medianGapS != null,
      ) ?? null)
    : null;
  return { week, sessions: own, now, before };
}

/** The tables of the page of a week. */
export interface WeekTables {
  /** What was run. */
  readonly sessions: Table;
  /** What changed in software and machine against the session that it is compared with. */
  readonly configurations: Table | null;
  readonly changes: Table | null;
  /** Whole lap, phases, plan and execution: before and now. */
  readonly parts: Table | null;
  /** By cause: before and now. */
  readonly causes: Table | null;
  readonly incidents: Table | null;
}

/** Everything of a week that goes into tables. */
export function weekTables(results: Results, week: string): WeekTables {
  const { sessions, now, before } = weekSessions(results, week);
  const links = (name: string) => tableLinks(weekPath(week), name);
  const linked = (table: Unlinked | null, name: string): Table | null => table && { ...table, ...links(name) };
  return {
    sessions: { ...sessionsTable(results, sessions), ...links('sessions') },
    configurations: linked(now && configurationTable(now, before), 'configurations'),
    changes:
      now && before
        ? changeTable(
            results,
            { id: 'changes', ...links('changes') },
            now.circuit,
            { places: [whole(before)], words: before.session },
            { places: [whole(now)], words: now.session },
          )
        : null,
    parts: linked(now && partsTable(results, now, before), 'parts'),
    causes: linked(now && causeChange(results, before, now), 'causes'),
    incidents: linked(incidentsTable(sessions), 'incidents'),
  };
}

type Unlinked = Omit<Table, 'csv' | 'json'>;

function sessionsTable(results: Results, sessions: readonly SessionResult[]): Unlinked {
  return {
    id: 'sessions-table',
    caption: 'What was run',
    columns: [
      { title: 'session', kind: 'text' },
      { title: 'stage', kind: 'text' },
      { title: 'software', kind: 'text' },
      { title: 'runs', kind: 'number' },
      { title: 'laps', kind: 'number' },
      { title: 'counted', kind: 'number' },
      { title: 'ridden', kind: 'number' },
      { title: 'median', kind: 'number' },
      { title: 'median gap', unit: 's', kind: 'number' },
    ],
    rows: sessions.map((s): Cell[] => {
      const laps = results.laps(s);
      return [
        { text: s.session, href: sessionPath(s.session) },
        { text: s.stage },
        { text: s.controller ?? MISSING },
        { text: String(s.runs.length) },
        { text: String(laps.length) },
        { text: String(laps.filter((l) => l.lap.counted).length) },
        { text: metres(laps.reduce((sum, l) => sum + l.lap.coveredM, 0)) },
        { text: lapTime(s.summary?.medianS, 1) },
        { text: s.rider.kind === 'robot' ? signed(s.summary?.medianGapS, MEDIAN_DIGITS) : MISSING },
      ];
    }),
  };
}

/** Every key of the configurations of a session, with all values that its runs had. */
function configurationOf(session: SessionResult | null): Map<string, string> {
  const values = new Map<string, Set<string>>();
  for (const run of session?.runs ?? [])
    for (const [key, value] of Object.entries(run.configuration)) {
      const of = values.get(key) ?? new Set();
      values.set(key, of.add(value));
    }
  return new Map([...values].map(([key, of]) => [key, [...of].join(', ')]));
}

function configurationTable(now: SessionResult, before: SessionResult | null): Unlinked | null {
  const [a, b] = [configurationOf(before), configurationOf(now)];
  const keys = [...new Set([...b.keys(), ...a.keys()])];
  if (keys.length === 0) return null;
  return {
    id: 'configurations',
    caption: before ? `Configuration of ${now.session}, against ${before.session}` : `Configuration of ${now.session}`,
    columns: [
      { title: 'part', kind: 'text' },
      ...(before ? [{ title: 'before', kind: 'text' } as const] : []),
      { title: 'now', kind: 'text' },
    ],
    rows: keys.map((key): Cell[] => {
      const same = !before || a.get(key) === b.get(key);
      return [
        { text: key },
        ...(before ? [{ text: a.get(key) ?? MISSING, tone: 'quiet' as const }] : []),
        { text: b.get(key) ?? MISSING, ...(same ? {} : { tone: 'strong' as const }) },
      ];
    }),
    ...(before ? { note: 'Bold: not as before.' } : {}),
  };
}

function partsTable(results: Results, now: SessionResult, before: SessionResult | null): Unlinked {
  const sides = [before, now].map((s) => (s ? lapsOfAll(results, [whole(s)]) : [])) as [
    ReturnType<typeof lapsOfAll>,
    ReturnType<typeof lapsOfAll>,
  ];
  const found = before ? changeFound(results, [whole(before)], [whole(now)]) : null;
  const row = (text: string, change: Change | null, own: number | null, verdict?: ComparisonFound): Cell[] => [
    { text },
    ...(before ? [{ text: signed(change?.before, MEDIAN_DIGITS) }] : []),
    { text: signed(change?.now ?? own, MEDIAN_DIGITS) },
    ...(before
      ? [{ text: signed(change?.changeS, MEDIAN_DIGITS), ...(change ? { tone: 'strong' as const } : {}) }]
      : []),
    ...(found ? [changedCell(verdict)] : []),
  ];
  const phase = (name: 'braking' | 'apex' | 'drive'): Cell[] =>
    row(
      name,
      changeOf(...sides, { phase: name }),
      changeOf(sides[1], sides[1], { phase: name })?.now ?? null,
      found?.phases.find((p) => p.phase === name),
    );
  const number = (key: 'gapS' | 'planS' | 'executionS', text: string, verdict?: ComparisonFound): Cell[] => {
    const of = (session: SessionResult | null): number | null =>
      session ? (summary(lapsOf(results, whole(session)).flatMap((lap) => lap[key] ?? []))?.median ?? null) : null;
    const [a, b] = [of(before), of(now)];
    const both = a !== null && b !== null ? { before: a, now: b, changeS: b - a, laps: { before: [], now: [] } } : null;
    return row(text, both, b, verdict);
  };
  const planned = sides[1].some((lap) => lap.planS !== null);
  return {
    id: 'parts',
    caption: before
      ? `The gap and its parts, ${before.session} and ${now.session}`
      : `The gap and its parts, ${now.session}`,
    columns: [
      { title: 'part', kind: 'text' },
      ...(before ? [{ title: 'before', unit: 's', kind: 'number' } as const] : []),
      { title: 'now', unit: 's', kind: 'number' },
      ...(before ? [{ title: 'change', unit: 's', kind: 'number' } as const] : []),
      ...(found ? [{ title: 'changed?', kind: 'text' } as const] : []),
    ],
    rows: [
      number('gapS', 'whole lap', found?.lap),
      ...(['braking', 'apex', 'drive'] as const).map(phase),
      ...(planned ? [number('planS', 'planned'), number('executionS', 'in execution')] : []),
    ],
    note: `Medians over the counted laps.${planned ? ' Planned: what the robot had set out to lose; in execution: what the machine added to it.' : ''}`,
  };
}

function incidentsTable(sessions: readonly SessionResult[]): Unlinked | null {
  const rows = sessions.flatMap((s) =>
    s.runs.flatMap((run) =>
      run.incidents.map((incident): Cell[] => {
        const lap = run.laps.findLast((l) => l.startS <= incident.timeS);
        return [
          { text: incident.kind },
          { text: s.session, href: sessionPath(s.session) },
          { text: `${run.file}${lap ? `, lap ${lap.lap}` : ''}` },
          { text: number(incident.timeS, 1) },
          { text: incident.severity === null ? MISSING : number(incident.severity) },
          { text: incident.closed ? 'closed' : 'open', ...(incident.closed ? {} : { tone: 'strong' as const }) },
        ];
      }),
    ),
  );
  if (rows.length === 0) return null;
  return {
    id: 'incidents',
    caption: `Incidents, ${plural(rows.filter((row) => row[0]!.text === 'intervention').length, 'intervention')} among them`,
    columns: [
      { title: 'kind', kind: 'text' },
      { title: 'session', kind: 'text' },
      { title: 'where', kind: 'text' },
      { title: 'at', unit: 's', kind: 'number' },
      { title: 'severity', kind: 'number' },
      { title: 'state', kind: 'text' },
    ],
    rows,
  };
}
