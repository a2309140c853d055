import type { Directive } from '../directive.ts';
import { aside } from './aside.ts';
import { claim } from './claim.ts';
import { links } from './links.ts';
import { compare, figure, table } from './shown.ts';
import { value } from './value.ts';

/** Everything that a note can hold beside Markdown. */
export const DIRECTIVES: readonly Directive[] = [value, claim, figure, table, compare, aside, ...links];
