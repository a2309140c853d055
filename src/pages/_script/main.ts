/** What the pages do where scripts run. Without them nothing is missing: all this only adds. */
import { chooseColours } from './chooseColours.ts';
import { compareLaps } from './compareLaps.ts';
import { readLap } from './readLap.ts';
import { workbench } from './workbench.ts';

chooseColours();
readLap();
workbench();
compareLaps();
