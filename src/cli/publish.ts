import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { BagInfo } from '../archive/bagInfo.ts';
import { chosenInputs } from '../archive/chosenInputs.ts';
import { copyInputs, NotPublished } from '../archive/copyInputs.ts';
import { crateText, LAYOUT } from '../archive/crate.ts';
import type { EditionFile } from '../archive/editionFile.ts';
import { filesOf } from '../archive/filesOf.ts';
import { hashed } from '../archive/hashes.ts';
import { publishEdition } from '../archive/publishEdition.ts';
import { readerGuide } from '../archive/readerGuide.ts';
import { toolSource } from '../archive/toolSource.ts';
import { loadCampaign } from '../campaign/load.ts';
import { type Edition, METHOD_VERSION, RESULTS_SCHEMA } from '../campaign/results.ts';
import type { Effects } from '../effects.ts';
import { nearestWord } from '../nearestWord.ts';
import { stops } from '../problem.ts';
import { asOf } from './build.ts';
import { analysisHash, pagesHash } from './codeHash.ts';
import { type Arguments, type Command, FOLDER_OPTIONS, UsageError } from './command.ts';
import { editionResults } from './editionResults.ts';
import { EDITIONS_OPTION, editionsFolder } from './editionsFolder.ts';
import { alone, LOCK } from './lock.ts';
import { writeResults } from './resultsFolder.ts';
import { allProblems, counted, say } from './said.ts';
import { renderSite } from './site.ts';
import { toolVersion } from './toolVersion.ts';

const LAP_PAGES = ['all', 'evidence', 'best'] as const;

/** `gapbook publish`: freezes the next edition of a milestone as an archive bag. */
export const publish: Command = {
  name: 'publish',
  usage: `gapbook publish MILESTONE        a file of content/milestones, without its ending

Freezes what is known on the milestone's day as its next edition: a folder with the report, the inputs and results it was
made from, and the source of this tool, that can be read and recomputed years later. Editions are numbered and never
overwritten. Whatever happens on the way, there is the whole edition or none.

The sessions and notes up to the milestone's date go in. A problem that stops, or an untrue claim, keeps an edition from
being published. Channels under \`neverPublish:\` in campaign.md are taken out of the logs before anything is computed.`,
  options: {
    ...FOLDER_OPTIONS,
    ...EDITIONS_OPTION,
    'without-logs': { kind: 'flag', help: 'leave the logs out; their hashes stay, so that who has them can recompute' },
    'evidence-only': {
      kind: 'flag',
      help: 'only the sessions that the milestone names, their reference, and the evidence of the stage gates',
    },
    'lap-pages': {
      kind: 'text',
      help: 'laps with a page: `all`, those of the `evidence`, or its `best` and median one',
      default: 'evidence',
    },
    'as-of': {
      kind: 'text',
      help: 'date of the edition, 2026-03-01; else SOURCE_DATE_EPOCH, else that of its newest session',
    },
    json: { kind: 'flag', help: 'print JSON instead of text' },
  },
  async run(args, effects) {
    const [id, ...more] = args.words;
    if (id === undefined || more.length > 0)
      throw new UsageError('give one MILESTONE, such as `gapbook publish one-second`');
    const home = join(editionsFolder(args), id);
    const settings = settingsOf(args);
    const loaded = await loadCampaign(
      { content: resolve(args.text('content') ?? ''), sessions: resolve(args.text('sessions') ?? '') },
      effects,
    );
    const milestone = loaded.milestones.find((m) => m.id === id);
    if (!milestone) {
      const ids = loaded.milestones.map((m) => m.id);
      const near = nearestWord(id, ids);
      throw new UsageError(
        `no milestone \`${id}\`; ${near ? `perhaps \`${near}\`` : ids.length > 0 ? `there are ${ids.join(', ')}` : 'there is none in content/milestones'}`,
      );
    }
    const make = async (bag: string, number: number): Promise<BagInfo> => {
      const data = join(bag, 'data');
      const inputs = join(data, LAYOUT.inputs);
      const { campaign } = loaded;
      const chosen = chosenInputs(loaded, milestone, settings.evidenceOnly);
      const files = await copyInputs(loaded, chosen, inputs, campaign.neverPublish, effects);
      const work = join(bag, 'work');
      const { lapPages, evidenceOnly } = settings;
      const edition: Edition = { milestone: id, number, lapPages, evidenceOnly };
      const quiet: Effects = { ...effects, out: () => {} };
      const written = await alone(LOCK, effects, async () => {
        effects.progress('analysing');
        const results = await writeResults(
          { content: join(inputs, 'content'), sessions: join(inputs, 'sessions') },
          work,
          settings.asOf,
          quiet,
          { edition },
        );
        const problems = allProblems(results.campaign, results.sessions);
        if (problems.some(stops)) {
          say(problems.filter(stops), effects);
          throw new NotPublished(`${counted(problems)}: nothing was published`);
        }
        await renderSite(results, join(data, LAYOUT.site), work, quiet);
        return results;
      });
      const results = await editionResults(written.folder, effects);
      // Those that the site has for download are written by it, to the letter as they are here.
      await effects.write(join(data, LAYOUT.curves), results.get(LAYOUT.curves)!);
      await effects.remove(work);
      // A phase map that was proposed just now is an input from here on.
      for (const path of (await filesOf(inputs, effects)).files)
        if (!files[path]) {
          const { bytes, of } = await hashed(join(inputs, path), ['sha256'], effects);
          files[path] = { sha256: of.sha256!, bytes, here: true };
        }
      if (settings.withoutLogs)
        for (const [path, file] of Object.entries(files))
          if (path.startsWith('sessions/') && !path.endsWith('/session.md')) {
            files[path] = { ...file, here: false };
            await effects.remove(join(inputs, path));
          }
      const version = toolVersion();
      const described: EditionFile = {
        form: 1,
        milestone: id,
        title: milestone.title,
        campaign: campaign.title,
        number,
        asOf: written.campaign.asOf,
        asOfAsked: settings.asOf,
        lapPages,
        evidenceOnly,
        tool: { name: 'gapbook', version, node: process.version },
        code: { analysis: await analysisHash(effects), pages: await pagesHash(effects) },
        method: METHOD_VERSION,
        schema: RESULTS_SCHEMA,
        withheld: [...campaign.neverPublish],
        inputs: Object.fromEntries(Object.entries(files).sort(([a], [b]) => (a < b ? -1 : 1))),
      };
      await effects.write(join(data, LAYOUT.edition), `${JSON.stringify(described, null, 2)}\n`);
      await effects.write(join(data, LAYOUT.tool(version)), await toolSource(root, `gapbook-${version}`, effects));
      await effects.write(join(data, LAYOUT.crate), crateText(described, [...results.keys()].sort()));
      await effects.write(join(bag, 'README.txt'), readerGuide(described));
      return [
        ['Source-Organization', campaign.title],
        ['External-Identifier', `${id}/${number}`],
        ['External-Description', `${milestone.title}, edition ${number}, with the data to ${described.asOf}`],
        ['Bag-Software-Agent', `gapbook ${version}, Node.js ${process.version}`],
        ['Gapbook-Edition', `${id} ${number}`],
        ['Gapbook-Method', String(METHOD_VERSION)],
      ];
    };
    try {
      const done = await alone(join(home, '.lock'), effects, () => publishEdition(home, make, effects));
      if (args.flag('json')) effects.out(JSON.stringify({ milestone: id, ...done }, null, 2));
      else
        effects.out(
          `edition ${done.number} of ${milestone.title}: ${done.folder}\nfingerprint ${done.fingerprint}\nKeep the fingerprint somewhere else; \`gapbook verify ${done.folder}\` checks the edition.`,
        );
      return 0;
    } catch (error) {
      if (!(error instanceof NotPublished)) throw error;
      effects.err(error.message);
      return 1;
    }
  },
};

const root = fileURLToPath(new URL('../..', import.meta.url));

interface Settings {
  readonly asOf: string | null;
  readonly lapPages: Edition['lapPages'];
  readonly evidenceOnly: boolean;
  readonly withoutLogs: boolean;
}

function settingsOf(args: Arguments): Settings {
  const asked = args.text('lap-pages');
  const lapPages = LAP_PAGES.find((word) => word === asked);
  if (!lapPages) throw new UsageError(`--lap-pages takes ${LAP_PAGES.join(', ')}, not \`${asked}\``);
  return {
    asOf: asOf(args.text('as-of')),
    lapPages,
    evidenceOnly: args.flag('evidence-only'),
    withoutLogs: args.flag('without-logs'),
  };
}
