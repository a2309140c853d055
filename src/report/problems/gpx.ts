import type { GuidePart, Sheet } from './guideOf.ts';

type Codes = 'XML_ENTITY' | 'GPX_INVALID';

const track = (...head: string[]): Sheet => ({
  file: 'run-01.gpx',
  text: `${head.join('\n')}
  <trk><trkseg>
    <trkpt lat="43.3608000" lon="4.7612000"><time>2026-01-08T10:15:00.0Z</time></trkpt>
    <trkpt lat="43.3608000" lon="4.7612371"><time>2026-01-08T10:15:00.1Z</time></trkpt>
    <trkpt lat="43.3608000" lon="4.7612742"><time>2026-01-08T10:15:00.2Z</time></trkpt>
  </trkseg></trk>
</gpx>
`,
});
const ROOT = '<gpx version="1.1" creator="logger" xmlns="http://www.topografix.com/GPX/1/1">';

/** GPX files. */
export const GPX: GuidePart<Codes> = {
  XML_ENTITY: {
    severities: ['stop'],
    meaning:
      'The file declares entities of its own in a document type. No logger writes any; a few lines of them, each made of others, grow to gigabytes when they are resolved. They are refused before anything is resolved.',
    cost: 'The run has no laps.',
    before: [track('<?xml version="1.0"?>', '<!DOCTYPE gpx [ <!ENTITY who "logger"> ]>', ROOT)],
    cure: 'Take the declarations out, or export the track again. If the file came from outside, ask where it has been.',
    after: [track('<?xml version="1.0"?>', ROOT)],
    acceptable: true,
    accept: 'Only to keep the run on record without its laps: acceptance does not read the file.',
  },
  GPX_INVALID: {
    severities: ['warn'],
    meaning:
      'The file departs from the schema of GPX 1.1: no version or another one, no namespace, elements of a point in the wrong order, a longitude of 180. It is read all the same, as far as it is clear.',
    cost: 'As a rule nothing. A program that is careless about the rules may be careless about times and positions too, so look at the laps once.',
    before: [track('<?xml version="1.0"?>', ROOT.replace('"1.1"', '"1.0"'))],
    cure: 'Update the program that writes the file or choose GPX 1.1 there. Nothing has to be done if the numbers look right.',
    after: [track('<?xml version="1.0"?>', ROOT)],
    acceptable: true,
    accept: 'Reasonable once the laps of one such file have been compared with something else.',
  },
};
