import { claimsPath, directivesPath, relative } from '../../paths.ts';
import { CLAIM_KEYS, type Claim, isChanged, tested } from '../claim.ts';
import type { Directive } from '../directive.ts';
import { Mistake } from '../mistake.ts';
import { element, textNode } from '../tree.ts';
import { readValue, VALUE_KEYS } from '../value.ts';
import { written } from '../written.ts';

/** The value now, with the reason where there is none. */
export const nowWords = ({ value: { reading, against } }: Claim): string =>
  reading.value === null ? `no value: ${reading.why}` : written(reading, against !== null);

/** Id of a claim on the page of claims. */
export const claimId = ({ note, anchor }: Claim): string =>
  `${note.page.replace(/\.html$/, '').replaceAll('/', '-')}-${anchor}`;

/** A statement with a test. */
export const claim: Directive = {
  name: 'claim',
  form: 'sentence',
  means:
    'A statement that is checked against the data. It carries the quantity and the range in which the statement is true. Where the value leaves the range the claim is untrue: it is marked, listed, and the command fails. Where the inputs are not those it was confirmed on it is marked as changed.',
  keys: [...VALUE_KEYS, ...CLAIM_KEYS],
  example: ({ session }) => `The robot :claim[is behind the reference]{gap of=${session} from=0}.`,
  read({ given, label, results, note, claims, line, span }) {
    if (label.trim() === '')
      throw new Mistake('a claim without words', 'the statement between brackets', 'write `:claim[what you say]{…}`');
    const value = readValue(
      given,
      results,
      note.session,
      CLAIM_KEYS.map(({ name }) => name),
    );
    const made = tested(given, value, {
      note,
      anchor: `${note.id}-claim-${claims.length + 1}`,
      line,
      text: label.replace(/\s+/g, ' ').trim(),
      span,
    });
    given.finish();
    claims.push(made);
    const states = [
      ...(made.holds ? [] : ['untrue']),
      ...(isChanged(made) ? ['changed'] : []),
      ...(made.confirmedOn === null ? ['not confirmed'] : []),
    ];
    const said =
      states.length === 0 || states[0] === 'not confirmed'
        ? states.join('')
        : `${states.filter((s) => s !== 'not confirmed').join(', ')}: now ${nowWords(made)}`;
    // Examples in the reference of directives are claims of nobody, and not listed.
    const href = relative(note.page, note.page === directivesPath ? claimsPath : `${claimsPath}#${claimId(made)}`);
    const flag = made.holds ? (isChanged(made) ? 'changed' : made.confirmedOn === null ? 'open' : 'holds') : 'untrue';
    return {
      html: (children) => [
        element('span', { className: ['claim', flag], id: made.anchor }, [
          ...children,
          element(
            'a',
            {
              href,
              className: ['mark'],
              ...(said === '' ? { ariaLabel: `Claim: ${made.text}`, title: 'Checked against the data' } : {}),
            },
            [textNode(said === '' ? '✓' : ` [${said}]`)],
          ),
        ]),
      ],
    };
  },
};
