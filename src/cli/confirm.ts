import { join, resolve } from 'node:path';
import { setOnce } from '../report/notes/checkedNotes.ts';
import { isChanged } from '../report/notes/claim.ts';
import { confirmed } from '../report/notes/confirmed.ts';
import { nowWords } from '../report/notes/directives/claim.ts';
import { notesOf } from '../report/notes/note.ts';
import { CACHE_OPTION, cachedResults } from './cachedResults.ts';
import { type Command, FOLDER_OPTIONS, UsageError } from './command.ts';

/** `gapbook confirm`: marks the claims of a note as read on the inputs as they are. */
export const confirm: Command = {
  name: 'confirm',
  usage: `gapbook confirm FILE …        every claim of these notes: weeks/2026-W11.md, 2026-01-08-track/session.md, campaign.md

A claim carries a mark of the inputs it was confirmed on; where they change, the claim is listed as changed until somebody
reads it again and confirms it. Claims that the data do not bear out are left as they are, and the exit status is 1.`,
  options: { ...FOLDER_OPTIONS, ...CACHE_OPTION },
  async run(args, effects) {
    if (args.words.length === 0) throw new UsageError('give a FILE, such as weeks/2026-W11.md');
    const results = await cachedResults(args, effects);
    const notes = notesOf(results);
    const wanted = args.words.flatMap((file) => {
      const found = notes.find((note) => note.body && (note.file === file || file.endsWith(`/${note.file}`)));
      if (found) return [found];
      throw new UsageError(
        `no note in \`${file}\`; there are ${[...new Set(notes.map((note) => note.file))].join(', ') || 'none'}`,
      );
    });
    let untrue = 0;
    for (const note of wanted) {
      const { claims } = setOnce(note, results);
      const good = claims.filter((claim) => claim.holds);
      for (const claim of claims) {
        if (!claim.holds)
          effects.err(`${note.file}:${claim.line} untrue, left alone: “${claim.text}”, ${nowWords(claim)}`);
        else if (claim.confirmedOn === null || isChanged(claim))
          effects.out(`${note.file}:${claim.line} “${claim.text}”, ${nowWords(claim)}`);
      }
      untrue += claims.length - good.length;
      const fresh = good.filter((claim) => claim.confirmedOn !== claim.mark);
      if (fresh.length === 0) continue;
      const home = note.file === 'campaign.md' || note.file.startsWith('weeks/') ? 'content' : 'sessions';
      const path = join(resolve(args.text(home) ?? ''), note.file);
      await effects.write(path, confirmed(await effects.text(path), fresh));
    }
    return untrue > 0 ? 1 : 0;
  },
};
