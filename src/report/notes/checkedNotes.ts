import type { Problem } from '../../problem.ts';
import type { Results } from '../readResults.ts';
import { type Claim, isChanged } from './claim.ts';
import { nowWords } from './directives/claim.ts';
import { type Note, notesOf } from './note.ts';
import { type SetNote, setNote } from './setNote.ts';

const known = new WeakMap<Results, Map<string, SetNote>>();

/** A note, set once for all who ask. */
export function setOnce(note: Note, results: Results): SetNote {
  let notes = known.get(results);
  if (!notes) known.set(results, (notes = new Map()));
  const key = `${note.page}#${note.id}`;
  let set = notes.get(key);
  if (!set) notes.set(key, (set = setNote(note, results)));
  return set;
}

/** Every claim of a campaign, note by note. */
export const claimsOf = (results: Results): readonly Claim[] =>
  notesOf(results).flatMap((note) => setOnce(note, results).claims);

/**
 * What is wrong with the notes of a campaign: directives that ask for what is not there, claims that the data do not bear
 * out, claims whose inputs changed, claims that nobody confirmed.
 */
export function noteProblems(results: Results): Problem[] {
  return notesOf(results).flatMap((note) => {
    const { problems, claims } = setOnce(note, results);
    return [...problems, ...claims.flatMap(claimProblems)];
  });
}

function claimProblems(claim: Claim): Problem[] {
  const { note, line, text, mark, confirmedOn, range, holds } = claim;
  const place = { file: note.file, line };
  const said = `“${text.length > 80 ? `${text.slice(0, 79)}…` : text}”`;
  const found: Problem[] = [];
  if (!holds)
    found.push({
      code: 'CLAIM_UNTRUE',
      severity: 'stop',
      place,
      found: `${said}: ${nowWords(claim)}`,
      expected: range,
      remedy: 'rewrite the sentence and its range, or find out what happened to the data',
    });
  if (isChanged(claim))
    found.push({
      code: 'CLAIM_CHANGED',
      severity: 'warn',
      place,
      found: `${said}: ${nowWords(claim)}, on inputs with the mark ${mark}`,
      expected: `the inputs it was confirmed on, \`on=${confirmedOn}\``,
      remedy: 'read the sentence again, then `gapbook confirm`',
    });
  else if (confirmedOn === null)
    found.push({
      code: 'CLAIM_UNCONFIRMED',
      severity: 'note',
      place,
      found: `${said}: ${nowWords(claim)}`,
      expected: `the mark of the inputs it was confirmed on, \`on=${mark}\``,
      remedy: 'read the sentence, then `gapbook confirm`',
    });
  return found;
}
