import { LAYOUT } from './crate.ts';
import type { EditionFile } from './editionFile.ts';

/** README.txt of an edition: for somebody who finds the folder in ten years and knows nothing of it. */
export function readerGuide(edition: EditionFile): string {
  const { campaign, title, number, asOf, tool, method, inputs, withheld } = edition;
  const source = LAYOUT.tool(tool.version);
  const unpublished = Object.entries(inputs).filter(([, { here }]) => !here);
  return `${campaign}
${title}, edition ${number}, with the data to ${asOf}

What this is
  The evidence of a milestone of a campaign in which a robot rides a motorcycle round a circuit, held against a
  human rider, frozen on the day it was published. It was never changed afterwards; a later edition lies in a
  folder of its own.

To read it
  Open data/${LAYOUT.site}/index.html in a web browser. Nothing has to be installed, and nothing is fetched
  from anywhere. The report describes laps that were ridden. It clears no machine, rider or software to run.

What is where
  data/${LAYOUT.site}/      the report: pages, and each table as CSV and JSON
  data/${LAYOUT.campaign}, data/${LAYOUT.results}/
                  every figure behind the pages, as JSON packed with gzip; their form is in *.schema.json there
  data/${LAYOUT.curves}
                  SHA-256 of the curves along each lap, whose values are among the tables of the site
  data/${LAYOUT.inputs}/    what it was made from: what people wrote (Markdown), circuits with their corner boundaries
                  (GeoJSON, YAML)${unpublished.length > 0 ? '; logs were not published' : ', and the logs'}
  data/${source}
                  the program that made it, as source, with package-lock.json naming every package it used
  data/${LAYOUT.edition}  what the results stand on, file by file, and the settings
  data/${LAYOUT.crate}
                  the same as linked data (RO-Crate 1.2)
${
  withheld.length > 0
    ? `\n  These channels were taken out of the logs before anything was computed: ${withheld.join(', ')}.\n  What the logs were before is in data/${LAYOUT.edition}, by its SHA-256.\n`
    : ''
}${
  unpublished.length > 0
    ? `\n  Without the logs the figures cannot be recomputed. Their SHA-256 is in data/${LAYOUT.edition}; whoever\n  has them gives their folder with --sessions (below).\n`
    : ''
}
To check that nothing was changed
  The folder is a bag (RFC 8493). Any program for bags checks it. So do these, in this folder:
    sha512sum --check --quiet tagmanifest-sha512.txt manifest-sha512.txt
  An edition is known by the SHA-256 of its file tagmanifest-sha512.txt. Ask for that number somewhere else
  than here: whoever can change a file can change this folder's list of files with it.

To recompute every figure from the logs
  1. Unpack data/${source} and go into the folder gapbook-${tool.version}.
  2. With Node.js ${tool.node.replace(/^v/, '')}: npm ci
  3. node src/cli/gapbook.mjs verify FOLDER${unpublished.length > 0 ? ' --sessions LOGS' : ''}, FOLDER being this one.
  It recomputes into a temporary folder, compares to the byte, and names each figure that differs. Method
  version ${method} is described on data/${LAYOUT.site}/method.html, should the program no longer run.

Dates are those of the data, or as asked for when it was published; no clock was read.
`;
}
