import { publishEdition } from '../../src/archive/publishEdition.ts';
import { machine } from '../../src/effects.ts';
import { fill } from './filled.ts';

// Publishes an edition of made files, to be ended from outside at any moment. Says when it begins.
process.stdout.write('begins\n');
await publishEdition(process.argv[2]!, (bag) => fill(bag, machine()), machine());
process.stdout.write('published\n');
