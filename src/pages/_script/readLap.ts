import { CENTIMETRES, type LapData, MILLISECONDS } from '../../report/lapData.ts';
import { digitsFor, gapWords, kmhNumber, number, plusMinus, signed, speedText } from '../../report/words.ts';
import { kmh } from '../../units.ts';
import { Cursor } from './cursor.ts';
import { alongAxis, fromAbove, type Marked } from './marks.ts';
import { type Reading, readingsRow, speak } from './readings.ts';
import { samples } from './samples.ts';
import { keepCursor, keysText, leadTo } from './sharedCursor.ts';
import { surface } from './surface.ts';

/** Figures of a lap that show a station, by their ids. */
const FIGURES = ['gap-curve', 'speed-pair', 'loss-map'] as const;

/** Gives the figures of a lap's page one cursor. */
export function readLap(): void {
  const text = document.getElementById('lap-data')?.textContent;
  if (!text) return;
  const data = JSON.parse(text) as LapData;
  const figures = FIGURES.map((id) => document.getElementById(id))
    .filter((figure) => figure !== null)
    .sort((a, b) => (a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING ? -1 : 1));
  if (figures.length === 0) return;
  const cursor = new Cursor(data);
  const readings = readingsOf(data);
  const help = 'cursor-keys';
  for (const figure of figures) {
    const drawings = [...figure.querySelectorAll<SVGSVGElement>(':scope > svg.drawing')]
      .map((svg): Marked | null =>
        figure.id === 'loss-map' ? fromAbove(svg, data.lengthM) : alongAxis(svg, data.lengthM),
      )
      .filter((drawing) => drawing !== null);
    if (drawings.length === 0) continue;
    const number = figure.querySelector('figcaption strong')?.textContent?.match(/^Figure \d+/)?.[0] ?? 'the figure';
    const frame = surface(drawings, cursor, `Read ${number} along the lap`, help);
    frame.after(readingsRow(cursor, readings));
  }
  figures[0]!.querySelector('figcaption')?.append(keysText(help, cursor.stepM));
  document.querySelector('main')?.append(speak(cursor, readings));
  keepCursor(cursor);
  if (cursor.stationM !== null) leadTo(figures[0]!);
}

function readingsOf(data: LapData): Reading[] {
  const curve = (packed: LapData['gap'], scale: number) => samples(packed, data, scale);
  const gap = curve(data.gap, MILLISECONDS);
  const sigma = curve(data.sigma, MILLISECONDS);
  const speed = curve(data.speed, CENTIMETRES);
  const reference = curve(data.referenceSpeed, CENTIMETRES);
  const offset = curve(data.offset, CENTIMETRES);
  const referenceOffset = curve(data.referenceOffset, CENTIMETRES);
  const list: Reading[] = [];
  if (gap) {
    const digits = digitsFor(sigma?.value.findLast((s) => Number.isFinite(s)));
    list.push({
      title: () => 'gap so far, s',
      text: (s) => [signed(gap.at(s), digits), plusMinus(sigma?.at(s), digits)].filter(Boolean).join(' '),
      spoken: (s) => `Gap ${gapWords(gap.at(s), null, digits)}`,
    });
  }
  if (speed)
    list.push({
      title: () => (reference ? 'this lap, km/h' : 'speed, km/h'),
      text: (s) => kmhNumber(speed.at(s)),
      spoken: (s) => `Speed ${speedText(speed.at(s), 0)}`,
    });
  if (speed && reference)
    list.push(
      {
        title: () => 'reference, km/h',
        text: (s) => kmhNumber(reference.at(s)),
        spoken: (s) => `Reference ${speedText(reference.at(s), 0)}`,
      },
      {
        title: () => 'difference, km/h',
        text: (s) => signed(kmh(speed.at(s) - reference.at(s)), 1),
        spoken: () => '',
        tone: (s) => toneOf(speed.at(s) - reference.at(s)),
      },
    );
  if (offset)
    list.push({
      title: () => 'from the line, m',
      text: (s) => sideways(offset.at(s)),
      spoken: (s) => `${sideways(offset.at(s))} of the line in metres`,
    });
  if (referenceOffset)
    list.push({
      title: () => 'reference, m',
      text: (s) => sideways(referenceOffset.at(s)),
      spoken: (s) => `reference ${sideways(referenceOffset.at(s))}`,
    });
  return list;
}

/** Slower is warm, faster cool; what rounds to nothing is neither. */
export const toneOf = (differenceMps: number): 'loss' | 'gain' | '' =>
  !(Math.abs(kmh(differenceMps)) >= 0.05) ? '' : differenceMps < 0 ? 'loss' : 'gain';

/** An offset in words: positive lies left of travel. */
function sideways(offsetM: number): string {
  const text = number(Math.abs(offsetM), 2);
  return !Number.isFinite(offsetM) || Number(text) === 0 ? text : `${text} ${offsetM > 0 ? 'left' : 'right'}`;
}
