import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fragmentOf, stateOf } from '../../src/pages/_script/address.ts';

describe('the state in a fragment', () => {
  test('comes back as it was put in', () => {
    const key = fc.stringMatching(/^[a-z]{1,8}$/);
    const value = fc.string({ minLength: 1, unit: 'grapheme' });
    fc.assert(
      fc.property(fc.dictionary(key, value, { noNullPrototype: true }), (state) => {
        expect(stateOf(fragmentOf(state))).toEqual(state);
      }),
    );
  });

  test('is empty for a plain anchor, for nothing and for what no page wrote', () => {
    for (const fragment of ['', '#', '#provenance', '#=', '#a=', '#&&', '#a=%E0%A4%A'])
      expect(stateOf(fragment)).toEqual({});
  });

  test('reads as a person would write it', () => {
    expect(fragmentOf({ laps: 'run-01-lap-3,reference', at: '1204' })).toBe('#at=1204&laps=run-01-lap-3,reference');
    expect(fragmentOf({})).toBe('');
  });
});
