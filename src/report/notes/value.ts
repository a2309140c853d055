import type { SessionResult } from '../../campaign/results.ts';
import type { Results } from '../readResults.ts';
import { stationDifference } from '../techniqueTable.ts';
import type { Given } from './given.ts';
import { Mistake } from './mistake.ts';
import { TAKE } from './overLaps.ts';
import { type Place, placeOf, placeText } from './place.ts';
import { QUANTITIES } from './quantities/list.ts';
import type { Key, Quantity, Reading } from './quantity.ts';
import { conversionTo } from './written.ts';

/** A quantity of the data as it was asked for. */
export interface Value {
  readonly quantity: Quantity;
  readonly of: Place;
  /** The other one, where this is a difference. */
  readonly against: Place | null;
  readonly reading: Reading;
  /** The quantity with its own keys, as it is read: `loss, corner 4, braking`. */
  readonly words: string;
  /** What was asked, apart from how it was written and from what was claimed of it. */
  readonly asked: string;
}

/** Keys of every quantity. */
export const VALUE_KEYS: readonly Key[] = [
  {
    name: 'of',
    means:
      'session, run or lap: `2026-01-08-track`, `2026-01-08-track/run-01.csv/3`, or `latest`; the session of the note where it is left out',
  },
  { name: 'against', means: 'another session, run or lap, or `reference`, the reference lap: the difference is given' },
  TAKE,
  { name: 'unit', means: 'another UCUM unit to show it in' },
];

/** Reads a value that a directive asks for. */
export function readValue(
  given: Given,
  results: Results,
  home: SessionResult | null,
  claimKeys: readonly string[],
): Value {
  const name = given.word(
    QUANTITIES.map((q) => q.name),
    'a quantity',
  );
  const quantity = QUANTITIES.find((q) => q.name === name)!;
  const of = placeOf(given.text('of'), results, home);
  const other = given.text('against');
  const against =
    other === null ? null : other === 'reference' ? referencePlace(of, results) : placeOf(other, results, home);
  const ask = { results, given };
  const own = quantity.read({ ...ask, of });
  const reading = against ? difference(own, quantity.read({ ...ask, of: against })) : own;
  // Asked for last, so that a unit is refused where there is nothing to convert.
  const unit = given.text('unit');
  return {
    quantity,
    of,
    against,
    reading: unit === null ? reading : inUnit(reading, unit),
    words: [name, ...given.words(['of', 'against', 'unit', ...claimKeys])].join(', '),
    asked: JSON.stringify([
      name,
      given.canonical(['of', 'against', 'unit', ...claimKeys]),
      placeText(of),
      against && placeText(against),
    ]),
  };
}

function referencePlace({ session }: Place, results: Results): Place {
  const { reference } = session;
  if (reference) return placeOf(`${reference.session}/${reference.run}/${reference.lap}`, results, null);
  throw new Mistake(
    `no reference lap for ${session.session}`,
    'a session that has one',
    'name the other lap: `against=…`',
  );
}

function difference(a: Reading, b: Reading): Reading {
  const stands = { ...a.stands, ...b.stands };
  if (typeof a.value === 'string' || typeof b.value === 'string')
    throw new Mistake('`against` with words', 'a quantity that is a number', 'take `against` out');
  if (a.value === null || b.value === null)
    return { ...a, value: null, why: a.why || `${b.why}, on the other side`, range: null, stands };
  const value = a.period === undefined ? a.value - b.value : stationDifference(a.value, b.value, a.period);
  const { lapTime: _, ...scale } = a.scale;
  const sigma = a.sigma !== null && b.sigma !== null ? Math.hypot(a.sigma, b.sigma) : null;
  return {
    value,
    why: '',
    scale: { ...scale, digits: Math.min(a.scale.digits, b.scale.digits) },
    sigma,
    range: null,
    stands,
  };
}

function inUnit(reading: Reading, unit: string): Reading {
  const { scale } = reading;
  const [from, to] = [conversionTo(scale.inside, scale.shown), conversionTo(scale.inside, unit)];
  if (!from || !to)
    throw new Mistake(
      `\`unit=${unit}\``,
      `a UCUM unit that \`${scale.shown}\` converts to`,
      'correct the unit, or take it out',
    );
  const { lapTime: _, ...rest } = scale;
  const digits = Math.max(0, Math.min(6, scale.digits + Math.round(Math.log10(from.factor / to.factor))));
  return { ...reading, scale: { ...rest, shown: unit, digits } };
}
