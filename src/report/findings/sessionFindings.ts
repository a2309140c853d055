import type { SessionFindings } from '../../campaign/findings/schema.ts';
import type { SessionResult } from '../../campaign/results.ts';
import { expectedBest } from '../../statistics/expectedBest.ts';
import { GROUP_TITLES } from '../causes/names.ts';
import { cornerWords } from '../cells.ts';
import { cornerPath, lapPath, sessionPath, tableLinks } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Cell, Piece, Table } from '../report.ts';
import { summary } from '../summary.ts';
import { lapTime, plural, seconds, sentence, signed } from '../words.ts';
import { bandWords } from './bandWords.ts';
import { beforeOf, distinct, foundOf } from './found.ts';
import {
  againstWords,
  changeCell,
  changeWords,
  confounderWords,
  detectableCell,
  lossCell,
  lossVerdictCell,
  VERDICT_NOTE,
  verdictCell,
  verdictWords,
} from './verdictWords.ts';

/** Real or noise: what a session page says of it. */
export interface SessionVerdicts {
  /** One comparison each. */
  readonly sentences: readonly (readonly Piece[])[];
  readonly table: Table | null;
  /** Best lap, composite lap, reference rider's band. */
  readonly best: readonly (readonly Piece[])[];
}

/** @returns null where the session has no lap to compare */
export function sessionVerdicts(results: Results, session: SessionResult): SessionVerdicts | null {
  const found = foundOf(results, session.session);
  return found ? verdictsOf(results, session, found) : null;
}

function verdictsOf(results: Results, session: SessionResult, found: SessionFindings): SessionVerdicts {
  const before = beforeOf(found);
  const sentences: Piece[][] = [];
  if (found.why !== '')
    sentences.push([
      { text: `This is ${found.why.replace(/,.*/, '')}: it does not count as progress of the robot on the track.` },
    ]);
  if (found.against.length === 0)
    sentences.push([{ text: 'There is no session before it that it could be compared with.' }]);
  for (const against of distinct(found.against)) {
    const others = confounderWords(against.confounders);
    sentences.push([
      {
        text: `${againstWords(against)} the median is ${changeWords(against.lap.changeS)}: ${verdictWords(against.lap)}.`,
      },
      ...(others ? [{ text: ` Other reasons that the records do not rule out: ${others}.` }] : []),
    ]);
  }
  const air = airSentence();
  if (air) sentences.push([{ text: air }]);
  return { sentences, table: table(), best: best() };

  /** The part of the median gap that is the air of the day, and the gap without it. */
  function airSentence(): string {
    const laps = results
      .laps(session)
      .flatMap(({ speaks, lap }) => (speaks && lap.air && lap.gapS !== null ? [lap] : []));
    const part = summary(laps.map(({ air: own }) => own!.gapS));
    const rest = summary(laps.map(({ gapS, air: own }) => gapS! - own!.gapS));
    if (!part || !rest) return '';
    const side = part.median < 0 ? 'in the robot’s favour' : 'against the robot';
    return `Wind and density of the air, where either pulls with all it has, were worth ${Math.abs(part.median) < 0.005 ? 'less than 0.01\u202fs' : `${seconds(Math.abs(part.median), null, 2)} ${side}`} in the median, compared with the reference rider’s day; without them the median gap is ${signed(rest.median, 2)}\u202fs. The usual drag for each kilogram is assumed, and the wind as one for the whole circuit.`;
  }

  function table(): Table {
    const other = before?.with[0] ?? null;
    const row = (
      first: Cell,
      loss: typeof found.lap,
      change: NonNullable<typeof before>['lap'] | undefined,
    ): Cell[] => [
      first,
      lossCell(loss),
      lossVerdictCell(loss),
      ...(other === null
        ? []
        : [
            change ? changeCell(change) : { text: '' },
            change ? verdictCell(change) : { text: '' },
            change ? detectableCell(change) : { text: '' },
          ]),
    ];
    const name = (corner: string): string => cornerWords(corner).replace(/^corner /, '');
    return {
      id: 'verdicts',
      caption: `Is there a loss${other === null ? '' : `, and did it change since ${other}`}: ${plural(found.lap.laps, 'lap')}${before ? ` against ${before.lap.before.laps}` : ''}`,
      columns: [
        { title: 'corner, phase or cause', kind: 'text' },
        { title: 'loss', unit: 's', kind: 'number' },
        { title: 'loss real?', kind: 'text' },
        ...(other === null
          ? []
          : ([
              { title: 'change', unit: 's', kind: 'number' },
              { title: 'changed?', kind: 'text' },
              { title: 'would be seen', unit: 's', kind: 'number' },
            ] as const)),
      ],
      rows: [
        ...found.corners.map((loss, i) =>
          row({ text: name(loss.corner), href: cornerPath(session.circuit, loss.corner) }, loss, before?.corners[i]),
        ),
        ...found.phases.map((loss, i) => row({ text: loss.phase }, loss, before?.phases[i])),
        ...found.causes.map((loss) =>
          row(
            { text: GROUP_TITLES[loss.group] },
            loss,
            before?.causes.find(({ group }) => group === loss.group),
          ),
        ),
      ],
      foot: [row({ text: 'lap' }, found.lap, before?.lap)],
      note: `${VERDICT_NOTE} Among corners, among phases and among groups of causes, at most a tenth of what is called a finding is false on average.`,
      ...tableLinks(sessionPath(session.session), 'verdicts'),
    };
  }

  function best(): Piece[][] {
    const out: Piece[][] = [];
    const times = results.laps(session).flatMap((l) => (l.speaks && l.lap.timeS !== null ? [l.lap.timeS] : []));
    const { composite } = session;
    if (composite) {
      const gain = composite.bestS - composite.timeS;
      out.push([
        { text: `The best whole lap is ` },
        {
          text: lapTime(composite.bestS),
          href: lapPath(session.session, composite.best.run, composite.best.lap),
        },
        {
          text:
            gain < 0.0005
              ? '; no other lap has a piece that could be ridden into it and would make it faster.'
              : `. Put together of ${plural(composite.parts.length, 'piece')} of ${plural(composite.laps, 'lap')} that meet at like speed and place, a lap of ${lapTime(composite.timeS)} (${seconds(gain, null, 2)} less) was there to be ridden; the sum of the best sections, ${lapTime(composite.sumOfBestsS)}, was not.`,
        },
      ]);
    }
    if (times.length > 1) {
      const mean = times.reduce((s, t) => s + t, 0) / times.length;
      const sd = Math.sqrt(times.reduce((s, t) => s + (t - mean) ** 2, 0) / (times.length - 1));
      out.push([
        {
          text: `Of ${plural(times.length, 'lap')} that scatter like these the best lies about ${seconds(-expectedBest(times.length) * sd, null, 2)} under their mean by luck alone, so a best lap is no progress.`,
        },
      ]);
    }
    const { learning, band } = found;
    if (learning.verdict !== 'too few' && learning.slopeS !== null)
      out.push([
        {
          text:
            learning.verdict === 'cannot tell'
              ? `From lap to lap the times neither fall nor rise, as far as ${plural(learning.n, 'lap')} can tell.`
              : `Over ${plural(learning.n, 'lap')} the times ${learning.verdict === 'falls' ? 'fall' : 'rise'} from lap to lap, by ${seconds(Math.abs(learning.slopeS), null, 2)} in the median of all pairs${found.against.some(({ kind }) => kind === 'configuration before') ? '; the configuration changed on the way' : ''}.`,
        },
      ]);
    if (band) {
      const words = bandWords(band.lap, 'The median lap');
      if (words) out.push([{ text: sentence(words) }]);
      const inside = band.corners.filter(({ verdict }) => verdict === 'inside').map(({ corner }) => corner);
      if (inside.length > 0 && band.lap.verdict !== 'inside')
        out.push([
          {
            text: `${inside.length} of ${plural(band.corners.length, 'corner')} lie inside it: ${inside.map((c) => cornerWords(c).replace(/^corner /, '')).join(', ')}.`,
          },
        ]);
    }
    return out;
  }
}
