import type { Ask, Key, Quantity } from '../quantity.ts';

function words(
  name: string,
  means: string,
  keys: readonly Key[],
  example: string,
  of: (ask: Ask) => string | null,
): Quantity {
  return {
    name,
    means,
    keys,
    example: () => example,
    read(ask) {
      const value = of(ask);
      return {
        value,
        why: value === null ? 'the session file does not say it' : '',
        scale: { inside: '1', shown: '1', digits: 0 },
        sigma: null,
        range: null,
        // Said in the session file, whatever the logs hold.
        stands: { ...ask.of.session.inputs.session },
      };
    },
  };
}

/** What a session file says in words. */
export const said: readonly Quantity[] = [
  words(
    'controller',
    'Version of the rider’s software.',
    [],
    '',
    ({ of }) => of.run?.configuration['controller'] ?? of.session.controller,
  ),
  words(
    'condition',
    'What the session file says under `conditions:`.',
    [{ name: 'name', means: 'which condition: `air`, `track`, `surface`, `tyres`, …' }],
    'name=surface',
    ({ of, given }) => of.session.conditions[given.needed('name', 'the name of a condition')] ?? null,
  ),
];
