import type { GuidePart, Sheet } from './guideOf.ts';

type Codes = 'NOTE_DIRECTIVE' | 'NOTE_UNREADABLE' | 'CLAIM_UNTRUE' | 'CLAIM_CHANGED' | 'CLAIM_UNCONFIRMED';

const week = (...lines: string[]): Sheet => ({ file: 'weeks/2026-W02.md', text: `${lines.join('\n')}\n` });
const NOT_ACCEPTED = 'Not possible: the note is yours to rewrite.';

/** What an engineer wrote in a note. */
export const NOTES: GuidePart<Codes> = {
  NOTE_DIRECTIVE: {
    severities: ['stop', 'warn'],
    meaning:
      'A directive in a note asks for a session, a lap, a corner or a quantity that is not there, or has a key that it does not know. Where only the name of the directive is misspelt it is a warning, because it may be meant as text.',
    cost: 'The directive stands on the page as it was written. Everything else of the note is set.',
    before: [week('Braking for corner 14 cost :value{loss corner=14}.')],
    cure: 'Correct what is named, with the list of what there is. Every directive and quantity stands on the page of directives with an example.',
    after: [week('Braking for corner 2 cost :value{loss corner=2}.')],
    acceptable: false,
    accept: NOT_ACCEPTED,
  },
  NOTE_UNREADABLE: {
    severities: ['stop'],
    meaning:
      'A note is longer than 40 000 characters or 2 000 lines, or has quotes, lists, brackets or directives within each other more than 60 deep. Setting it could take without end.',
    cost: 'Its beginning is shown as it was written, and nothing of it is checked.',
    before: [week(`${'>'.repeat(70)} the rig was cold`)],
    cure: 'Split the note, or put what is data into a file beside it.',
    after: [week('> the rig was cold')],
    acceptable: false,
    accept: NOT_ACCEPTED,
  },
  CLAIM_UNTRUE: {
    severities: ['stop'],
    meaning:
      'A claim carries the range in which it is true, and the value lies outside it now, or there is no value any more. The value now and the range are given.',
    cost: 'The claim is marked on its page and on the page of claims, and the command ends with status 1, so that nothing is published by mistake.',
    before: [week('The robot :claim[rode one lap]{laps from=1 to=1}.')],
    cure: 'Find out what moved: a log that came late, another choice of laps, a new reference. Then rewrite the sentence and its range, or mend the data.',
    after: [week('The robot :claim[rode more than one lap]{laps from=2}.')],
    acceptable: false,
    accept: 'Not possible: a sentence that is not true is rewritten.',
  },
  CLAIM_CHANGED: {
    severities: ['warn'],
    meaning:
      'A file that the claim stands on is not what it was when somebody last confirmed the claim: a log, a session file, the circuit, its phase map, the reference. Or the question itself was edited.',
    cost: 'The claim is marked as changed. Whether it is still true is tested apart from that.',
    before: [week('The robot :claim[rode some laps]{laps from=1 on=0123456789ab}.')],
    cure: 'Read the sentence again with the value as it is now, then run `gapbook confirm` with the file.',
    after: [week('The robot rode some laps.')],
    acceptable: false,
    accept: 'Not possible here: confirming the claim is what accepts it.',
  },
  CLAIM_UNCONFIRMED: {
    severities: ['note'],
    meaning: 'A claim does not say on which inputs it was confirmed.',
    cost: 'It is tested like any other, but a change of its inputs cannot be noticed.',
    before: [week('The robot :claim[rode some laps]{laps from=1}.')],
    cure: 'Run `gapbook confirm` with the file: it writes the mark behind the range.',
    after: [week('The robot rode some laps.')],
    acceptable: false,
    accept: 'Not possible here: confirming the claim is what accepts it.',
  },
};
