import { gateShut } from '../../campaign/gateOrder.ts';
import type { SessionResult } from '../../campaign/results.ts';
import { conformity } from '../../statistics/conformity.ts';
import { normalQuantile } from '../../statistics/distributions.ts';
import { sessionPath, type TableLinks } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Cell, Table } from '../report.ts';
import { MISSING } from '../words.ts';
import { chanceWords, verdictWord } from './words.ts';

/** Greatest chance of a false pass at a gate. */
const RISK = 0.05;

/**
 * The gates to the stage of a session as they stood on its day: every criterion with its latest record, judged by guarded
 * acceptance, and whether that record holds for the configuration that was ridden.
 *
 * @returns null where the campaign records no gate to that stage
 */
export function gatesTable(results: Results, session: SessionResult, links: TableLinks): Table | null {
  const gates = results.campaign.stageGates.filter((gate) => gate.opens === session.stage);
  if (gates.length === 0) return null;
  const gated = (s: SessionResult) => ({ date: s.date, configuration: s.runs[0]?.configuration ?? {} });
  const rows = gates.flatMap((gate) =>
    [...new Set(gate.criteria.map((c) => c.name))].map((name): Cell[] => {
      const record = gate.criteria
        .filter((c) => c.name === name)
        .flatMap((c) => {
          const home = results.session(c.evidence);
          return home && home.date <= session.date ? [{ ...c, home }] : [];
        })
        .toSorted((a, b) => (a.home.date < b.home.date ? -1 : 1))
        .at(-1);
      if (!record)
        return [
          { text: name },
          { text: MISSING },
          { text: MISSING },
          { text: 'not recorded by then', tone: 'strong' },
          { text: '' },
          { text: '' },
        ];
      const sign = record.side === 'at most' ? 1 : -1;
      const { verdict, chance } = conformity(
        { value: sign * record.value, standardError: record.sd, df: Number.POSITIVE_INFINITY },
        sign * record.limit,
        RISK,
      );
      const reach = normalQuantile(0.95) * record.sd;
      const shut = gateShut(gate, gated(session), [gated(record.home)]);
      const digits = Math.max(
        0,
        ...[record.value, record.limit, record.sd].map((v) => String(v).split('.')[1]?.length ?? 0),
      );
      return [
        { text: name, aside: gate.name },
        {
          text: `${record.value.toFixed(digits)}\u202f${record.unit}`,
          ...(record.sd > 0
            ? { aside: `${(record.value - reach).toFixed(digits)} to ${(record.value + reach).toFixed(digits)}` }
            : {}),
        },
        { text: `${record.side} ${record.limit}\u202f${record.unit}` },
        { text: verdictWord(verdict), aside: `inside with a chance of ${chanceWords(chance)}` },
        { text: record.evidence, href: sessionPath(record.evidence), ...(record.by ? { aside: record.by } : {}) },
        shut ? { text: `expired: another ${shut.join(' and ')}`, tone: 'strong' } : { text: 'holds', tone: 'quiet' },
      ];
    }),
  );
  return {
    id: 'gates',
    caption: `The gate to the ${session.stage} as it stood on ${session.date}, each criterion with its latest record`,
    columns: [
      { title: 'criterion', kind: 'text' },
      { title: 'measured', kind: 'number' },
      { title: 'limit', kind: 'text' },
      { title: 'verdict', kind: 'text' },
      { title: 'evidence', kind: 'text' },
      { title: 'for what was ridden', kind: 'text' },
    ],
    rows,
    ...links,
    note: `Judged like a milestone, at ${RISK * 100}\u202f% of false passes. A record expires when one of ${[...new Set(gates.flatMap((g) => g.sameAs))].join(', ') || 'nothing'} changes.`,
  };
}
