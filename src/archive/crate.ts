import type { EditionFile } from './editionFile.ts';

/** Where things lie in `data/` of an edition. */
export const LAYOUT = {
  site: 'site',
  /** As the site has them for download: packed, being a fifth of an edition otherwise. */
  campaign: 'site/campaign.json.gz',
  results: 'site/results',
  inputs: 'inputs',
  edition: 'edition.json',
  crate: 'ro-crate-metadata.json',
  curves: 'curves.json',
  tool: (version: string): string => `tool/gapbook-${version}.tgz`,
} as const;

const CONTEXT = 'https://w3id.org/ro/crate/1.2/context';

/**
 * Provenance of an edition for machines, as RO-Crate 1.2: which files the analysis took, which it gave, and by what.
 * The crate's root is the folder `data`.
 *
 * @param results paths of the results below `data`
 */
export function crateText(edition: EditionFile, results: readonly string[]): string {
  const { milestone, number, title, campaign, asOf, tool, method, schema } = edition;
  const at = (path: string): { '@id': string } => ({ '@id': path.split('/').map(encodeURIComponent).join('/') });
  const inputs = Object.entries(edition.inputs).sort(([a], [b]) => (a < b ? -1 : 1));
  const here = inputs.filter(([, { here: is }]) => is).map(([path]) => `${LAYOUT.inputs}/${path}`);
  const source = LAYOUT.tool(tool.version);
  const files = [LAYOUT.edition, `${LAYOUT.site}/index.html`, source, ...here, ...results];
  const hash = new Map(inputs.map(([path, { sha256, bytes }]) => [`${LAYOUT.inputs}/${path}`, { sha256, bytes }]));
  const described = (path: string): object => {
    const known = hash.get(path);
    return {
      ...at(path),
      '@type': 'File',
      name: path,
      encodingFormat: formatOf(path),
      ...(known ? { contentSize: String(known.bytes), sha256: known.sha256 } : {}),
    };
  };
  const withheld = inputs.filter(([, { here: is }]) => !is);
  const graph = [
    {
      '@id': LAYOUT.crate,
      '@type': 'CreativeWork',
      conformsTo: { '@id': 'https://w3id.org/ro/crate/1.2' },
      about: { '@id': './' },
    },
    {
      '@id': './',
      '@type': 'Dataset',
      name: `${campaign}: ${title}, edition ${number}`,
      description: `What a campaign showed for its milestone “${title}”, frozen: the report as a site, the inputs and results that it was made from, and the source of the tool that made it.`,
      identifier: `${milestone}/${number}`,
      version: String(number),
      datePublished: asOf,
      license: { '@id': '#terms' },
      hasPart: [at(`${LAYOUT.site}/`), ...files.map(at)],
      mentions: [
        { '@id': '#analysis' },
        { '@id': '#pages' },
        ...withheld.map(([path]) => ({ '@id': `#${encodeURIComponent(path)}` })),
      ],
    },
    {
      '@id': '#terms',
      '@type': 'CreativeWork',
      name: 'Terms',
      description: 'The campaign states none here. Ask whoever keeps it before passing anything of it on.',
    },
    {
      ...at(`${LAYOUT.site}/`),
      '@type': 'Dataset',
      name: 'The report',
      description: 'A site of static pages; open index.html in it. Nothing has to be installed and nothing is fetched.',
    },
    ...files.map(described),
    ...withheld.map(([path, { sha256, bytes }]) => ({
      '@id': `#${encodeURIComponent(path)}`,
      '@type': 'CreativeWork',
      name: path,
      description: 'An input that was not published.',
      size: `${bytes} bytes`,
      sha256,
    })),
    {
      '@id': '#gapbook',
      '@type': 'SoftwareApplication',
      name: tool.name,
      softwareVersion: tool.version,
      description: `Method version ${method}, results schema ${schema}. Its source is ${source}.`,
      softwareRequirements: { '@id': '#node' },
      hasPart: [at(source)],
    },
    { '@id': '#node', '@type': 'SoftwareApplication', name: 'Node.js', softwareVersion: tool.node },
    {
      '@id': '#analysis',
      '@type': 'CreateAction',
      name: 'Analysis of the logs',
      instrument: { '@id': '#gapbook' },
      object: inputs.map(([path, { here: is }]) =>
        is ? at(`${LAYOUT.inputs}/${path}`) : { '@id': `#${encodeURIComponent(path)}` },
      ),
      result: results.map(at),
    },
    {
      '@id': '#pages',
      '@type': 'CreateAction',
      name: 'Rendering of the report',
      instrument: { '@id': '#gapbook' },
      object: results.map(at),
      result: [at(`${LAYOUT.site}/`)],
    },
  ];
  const context = [CONTEXT, { sha256: 'https://schema.org/sha256' }];
  return `${JSON.stringify({ '@context': context, '@graph': graph }, null, 2)}\n`;
}

const FORMATS: Readonly<Record<string, string>> = {
  csv: 'text/csv',
  geojson: 'application/geo+json',
  gpx: 'application/gpx+xml',
  gz: 'application/gzip',
  html: 'text/html',
  json: 'application/json',
  md: 'text/markdown',
  tgz: 'application/gzip',
  yaml: 'application/yaml',
};

const formatOf = (path: string): string =>
  FORMATS[path.slice(path.lastIndexOf('.') + 1).toLowerCase()] ?? 'application/octet-stream';
