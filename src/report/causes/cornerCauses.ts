import type { GroupKey } from '../../causes/cause.ts';
import type { CauseWindow, LapCauses } from '../../causes/schema.ts';
import { NOISE_NOTE, tone } from '../ledgerTable.ts';
import { cornersWords } from '../losses.ts';
import { cornerPath, type TableLinks } from '../paths.ts';
import type { Cell, Table } from '../report.ts';
import { number, sentence, signed } from '../words.ts';
import { CAUSE_DIGITS, causeSeconds } from './bridgeFigure.ts';
import { finding } from './finding.ts';
import { FLAGS, GROUP_TITLES, REFUSALS, UNTOLD } from './names.ts';
import { isNoise, type Told, toldOf } from './told.ts';

const SHOWN = ['line', 'entry', 'apex', 'exit'] as const satisfies readonly GroupKey[];
/** What is left: chance, the machines, and what came over the gate. */
const OTHERS: readonly GroupKey[] = ['carry', 'machine', 'residual'];
/** A second finding is worth its line from so many seconds on, and from this share of the first. */
const SECOND_S = 0.03;
const SECOND_SHARE = 0.35;

/** A lap corner by corner: what each group of causes lost there, and in words what differed most. */
export function cornerCauses(causes: LapCauses, circuit: string, links: TableLinks): Table {
  const amount = (window: CauseWindow, groups: readonly GroupKey[]): Cell => {
    const some = window.groups.filter(({ group }) => groups.includes(group));
    const value = some.reduce((sum, { madeS }) => sum + madeS, 0);
    const noise =
      groups.length === 1 && some[0]
        ? isNoise({ gapS: value, lowS: some[0].madeLowS ?? null, highS: some[0].madeHighS ?? null })
        : true;
    return amountCell(value, noise);
  };
  const total = (groups: readonly GroupKey[]): number =>
    causes.groups.reduce((sum, { group, gapS }) => (groups.includes(group) ? sum + gapS : sum), 0);
  const rows = causes.windows.map((w, i): Cell[] => [
    { text: windowTitle(causes.windows, i), href: cornerPath(circuit, w.corner) },
    ...SHOWN.map((group) => amount(w, [group])),
    amount(w, OTHERS),
    amountCell(
      w.groups.reduce((sum, { madeS }) => sum + madeS, 0),
      false,
      true,
    ),
    { text: findings(w) },
  ]);
  const reasons = [...new Set(causes.windows.flatMap((w) => toldOf(w).flatMap(({ why }) => why ?? [])))];
  const words = [
    ...flagWords(causes.windows),
    ...reasons.map((why) => REFUSALS[why].full),
    ...causes.untold.map((u) => UNTOLD[u]),
    ...doubleEntry(causes.windows),
  ].join(' ');
  return {
    id: 'causes',
    caption: 'What each corner cost, by group of causes, and what differed most',
    columns: [
      { title: 'corner', kind: 'text' },
      ...SHOWN.map((group) => ({ title: GROUP_TITLES[group], unit: 's', kind: 'number' as const })),
      { title: 'other', unit: 's', kind: 'number' },
      { title: 'total', unit: 's', kind: 'number' },
      { title: 'against the reference, this lap', kind: 'text' },
    ],
    rows,
    foot: [
      [
        { text: 'lap' },
        ...SHOWN.map((group) => amountCell(total([group]), false)),
        amountCell(total(OTHERS), true),
        amountCell(causes.gapS, false, true),
        { text: '' },
      ],
    ],
    ...links,
    note: `Speed that is missing on the way to the next corners counts where it was lost, so a row differs from the ledger’s; the lap’s total is the same. ${NOISE_NOTE} ${words}`.trim(),
  };
}

/** How corners had to be taken, a sentence each way: `Corners 7 and 11: taken as one corner with two apexes.` */
function flagWords(windows: readonly CauseWindow[]): string[] {
  return (Object.keys(FLAGS) as (keyof typeof FLAGS)[]).flatMap((flag) => {
    const corners = [...new Set(windows.filter(({ flags }) => flags.includes(flag)).map(({ corner }) => corner))];
    return corners.length === 0 ? [] : [`${sentence(cornersWords(corners))}: ${FLAGS[flag]}.`];
  });
}

/** How far another rule of sharing comes from these numbers, where it was asked. */
function doubleEntry(windows: readonly CauseWindow[]): string[] {
  const most = windows.reduce<CauseWindow | null>(
    (worst, w) => ((w.otherRuleApartS ?? -1) > (worst?.otherRuleApartS ?? -1) ? w : worst),
    null,
  );
  if (most?.otherRuleApartS == null) return [];
  return [
    `As a check, groups were counted by another rule too (Aumann–Shapley): at most ${number(most.otherRuleApartS, 3)}\u202fs apart, in ${cornersWords([most.corner])}.`,
  ];
}

/** Seconds by cause as a cell. */
export const amountCell = (value: number, noise: boolean, strong = false): Cell => ({
  text: signed(value, CAUSE_DIGITS),
  ...(strong ? { tone: 'strong' as const } : noise ? { tone: 'noise' as const } : tone(value, CAUSE_DIGITS)),
});

/** What a stretch is called: its corner, `gate to 1` or `11 to gate`. */
export function windowTitle(windows: readonly CauseWindow[], i: number): string {
  const { corner, part, mode } = windows[i]!;
  if (part === null || mode !== 'driven') return corner;
  return part === 'from gate' ? `gate to ${windows[i + 1]?.corner ?? ''}` : `${windows[i - 1]?.corner ?? ''} to gate`;
}

/** The largest causes of a corner in words, with their seconds. */
function findings(window: CauseWindow): string {
  const told = toldOf(window)
    .filter((line) => line.group !== 'residual' && !isNoise(line))
    .toSorted((x, y) => Math.abs(y.gapS) - Math.abs(x.gapS));
  const [first, second] = told;
  if (!first) return 'nothing that is told from noise';
  const some =
    second && Math.abs(second.gapS) > Math.max(SECOND_S, SECOND_SHARE * Math.abs(first.gapS))
      ? [first, second]
      : [first];
  return `${sentence(some.map(lineWords).join('; '))}.`;
}

/** A line in words: what was done otherwise, and its seconds. */
export function lineWords(line: Told): string {
  const words = finding(line);
  const value = `${causeSeconds(line)}${line.gapS < 0 ? ' gained' : ''}`;
  if (words) return `${words} (${value})`;
  return `${line.title} ${value}${line.why ? ` (${REFUSALS[line.why].short})` : ''}`;
}
