/** Runs inside the head, before anything is painted. */
import { remembered, show } from './colours.ts';

show(remembered());
