import type { CauseWindow } from '../../causes/schema.ts';
import { cornerWords } from '../cells.ts';
import { NOISE_NOTE } from '../ledgerTable.ts';
import { cornerPath, lapPath, slug, tableLinks } from '../paths.ts';
import type { LapOf } from '../readResults.ts';
import type { Cell, Table } from '../report.ts';
import { signed } from '../words.ts';
import { CAUSE_DIGITS } from './bridgeFigure.ts';
import { amountCell, windowTitle } from './cornerCauses.ts';
import { ALL, type Exchange, PART_TITLES, PARTS, partsOf, restS, savedS, UNIT_S } from './exchange.ts';
import { groupLine, isNoise } from './told.ts';

/** What a lap would take with parts of the reference lap in it: one part at a time as a table, any choice by the script. */
export interface Workbench {
  readonly table: Table;
  readonly data: Exchange;
}

/** The workbench of a lap; null where its causes were not worked out with their doubt, or it was not completed. */
export function workbench({ session, run, lap, page }: LapOf): Workbench | null {
  const { causes, timeS } = lap;
  if (!causes || causes.draws === 0 || timeS === null || session.reference === null) return null;
  const { windows } = causes;
  const data: Exchange = {
    lapS: timeS,
    referenceS: session.reference.timeS,
    stretches: windows.map((window, i) => {
      const title = windowTitle(windows, i);
      return {
        key: slug(title),
        words: title === window.corner ? cornerWords(title) : title,
        saved: savedOf(window),
      };
    }),
  };
  return { table: tableOf(data, windows, session.circuit, page ?? lapPath(session.session, run.file, lap.lap)), data };
}

/** Later corners are changed by the speed at the end of this one. */
function savedOf({ mixtureS, mixtureLaterS }: CauseWindow): number[] {
  const whole = (mask: number): number => mixtureS[mask]! + mixtureLaterS[mask]!;
  return mixtureS.map((_, mask) => Math.round((whole(0) - whole(mask)) / UNIT_S) + 0);
}

/** A change of the lap time; nothing where the laps do not differ. */
const change = (of: Exchange['stretches'][number], mask: number, noise: boolean): Cell =>
  (partsOf(of) & mask) === 0 ? { text: '', tone: 'quiet' } : amountCell(-savedS(of, mask), noise);

function tableOf(data: Exchange, windows: readonly CauseWindow[], circuit: string, page: string): Table {
  const { stretches } = data;
  const sum = (mask: number): number => stretches.reduce((all, stretch) => all + savedS(stretch, mask), 0);
  return {
    id: 'workbench',
    caption: 'What the lap time would change by if one part were the reference’s and all else stayed as it was ridden',
    columns: [
      { title: 'corner', kind: 'text' },
      ...PART_TITLES.map((title) => ({ title, unit: 's', kind: 'number' as const })),
      { title: 'all four', unit: 's', kind: 'number' },
    ],
    rows: stretches.map((stretch, k): Cell[] => [
      { text: windowTitle(windows, k), href: cornerPath(circuit, windows[k]!.corner) },
      ...PARTS.map((group, bit) => {
        const line = groupLine(windows[k]!, group);
        return change(stretch, 1 << bit, line === null || isNoise(line));
      }),
      amountCell(-savedS(stretch, ALL), false, true),
    ]),
    foot: [
      [
        { text: 'every corner' },
        ...PARTS.map((_, bit) => amountCell(-sum(1 << bit), false)),
        amountCell(-sum(ALL), false, true),
      ],
      [{ text: 'the rest' }, ...PARTS.map(() => ({ text: '' })), { text: signed(-restS(data), CAUSE_DIGITS) }],
    ],
    ...tableLinks(page, 'workbench'),
    note: `Arithmetic on two laps that were ridden: nobody has ridden such a mixture. Within a corner parts act together, so that all four are not the sum of each alone; the speed at its end goes on into the next corner. The rest is speed brought over the gate, the machines, chance, and what does not add up between corners. ${NOISE_NOTE}`,
  };
}
