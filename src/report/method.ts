import { METHOD_CONSTANTS } from '../campaign/constants.ts';
import { METHOD_VERSION, RESULTS_SCHEMA } from '../campaign/results.ts';
import { pageOf } from './pageOf.ts';
import { methodPath, tableLinks } from './paths.ts';
import type { Results } from './readResults.ts';
import type { Page, Table } from './report.ts';
import { Z_90 } from './words.ts';

/** A numbered section of the method. `html` is our own text, `aside` its side note. */
interface MethodSection {
  readonly id: string;
  readonly title: string;
  readonly html: string;
  readonly aside?: string;
}

/** The page of definitions and formulas, as built. */
export interface MethodReport extends Page {
  readonly kind: 'method';
  readonly sections: readonly MethodSection[];
  readonly constants: Table;
  readonly circuits: Table;
}

const formula = (body: string): string => `<p class="formula">${body}</p>`;

const SECTIONS: readonly MethodSection[] = [
  {
    id: 'words',
    title: 'Words and signs',
    html: `<p>A <dfn>station</dfn> <i>s</i> is a distance along the reference line of the circuit, in metres from the gate. An <dfn>offset</dfn> <i>n</i> is the distance from that line, positive to the left of travel. The <dfn>gap</dfn> at a station is the time of a lap up to there minus the time of the reference lap up to there:</p>
${formula('Δ(<i>s</i>) = <i>t</i><sub>lap</sub>(<i>s</i>) − <i>t</i><sub>reference</sub>(<i>s</i>)')}
<p>A positive gap means slower than the reference; a negative one reads “ahead”. A <dfn>cell</dfn> is a stretch of the lap between two stations, and what it lost is the change of the gap over it.</p>`,
    aside: 'Axes follow ISO 8855: forward, left, up; roll is positive when the machine leans to the right.',
  },
  {
    id: 'frames',
    title: 'Where the machine is',
    html: `<p>A position is that of the ground point below the mass centre. The antenna sits elsewhere: its arm, turned by the roll angle, is taken off, and so are the latency and the shift that a session file declares for a logger. Where the arm is not given, its length enters the uncertainty instead, and the report says so.</p>
<p>Accelerations and rates that a sensor fixed to the machine measured are turned to level axes by roll and pitch before any use. A position that is repeated until the next fix comes is recognised, and only fresh positions count; the other channels of such a row are used.</p>`,
    aside: 'An antenna 1\u202fm above the ground is 0.82\u202fm beside the machine’s track at 55° of lean.',
  },
  {
    id: 'circuit',
    title: 'The circuit and its corners',
    html: `<p>The reference line is a closed curve with continuous curvature through the points of the circuit’s file, in a plane that touches the WGS\u202f84 ellipsoid at the circuit’s centre. Stations are true arc length. Station 0 is where the gate cuts the line.</p>
<p>A corner begins where the lateral acceleration that the reference rider’s median speed asks for, |<i>κ</i>|<i>v</i><sup>2</sup>, rises above one threshold, and ends where it falls below a lower one. Neighbouring pieces of the same direction that neither a braking nor full drive separates are one corner. Corners and the limits of their phases are frozen in the circuit’s <dfn>phase map</dfn>, a file with a version that a person may edit; they do not move from week to week.</p>`,
  },
  {
    id: 'laps',
    title: 'Laps',
    html: `<p>A lap runs from one crossing of the gate, in the direction of travel and between its ends, to the next. The moment of crossing comes from a model of constant acceleration through the samples beside it. Laps are <i>out</i>, <i>flying</i>, <i>standing</i> or <i>in</i> laps; every rule that makes a lap invalid leaves a reason with its number. Out laps, in laps, invalid laps and laps under a cap are shown and not counted.</p>`,
    aside: 'Official times, where the session file gives them, are shown beside ours.',
  },
  {
    id: 'place',
    title: 'Two laps side by side',
    html: `<p>Laps are compared by place, not by time. Each fresh position is put on the reference line by a search along the whole lap that weighs distance, heading and the advance that speed and time allow; the nearest point alone would fail where limbs of the circuit lie close together. Elapsed time as a function of station never falls, and between samples it follows a curve that keeps their shape. Limits of phases are evaluated exactly, not on a grid.</p>
<p>As a check, each section’s time is computed again from speed and path length; where the two disagree by more than their uncertainty, the lap carries a problem.</p>
${formula('∫ <i>ψ</i>(<i>s</i>) / <i>v</i>(<i>s</i>) d<i>s</i>, with <i>ψ</i> = metres ridden per metre of station')}`,
  },
  {
    id: 'ledger',
    title: 'Phases and the ledger',
    html: `<p>Each corner has four fixed stations: <i>a</i>, where braking for it can begin at the earliest; <i>b</i>, where the reference rider’s median braking begins; <i>r</i>, the end of braking; <i>p</i>, the reference rider’s pick-up. In a comparison braking begins at the earliest of <i>b</i> and the two laps’ own onsets, but not before <i>a</i>. Four cells fill the window of the corner, from its <i>a</i> to the next:</p>
<table class="plain"><thead><tr><th scope="col">cell</th><th scope="col">from</th><th scope="col">to</th><th scope="col">phase</th></tr></thead><tbody>
<tr><th scope="row">straight</th><td><i>a</i></td><td>braking begins</td><td>drive</td></tr>
<tr><th scope="row">braking</th><td>braking begins</td><td><i>r</i></td><td>braking</td></tr>
<tr><th scope="row">apex</th><td><i>r</i></td><td><i>p</i></td><td>apex</td></tr>
<tr><th scope="row">exit</th><td><i>p</i></td><td><i>a</i> of the next corner</td><td>drive</td></tr></tbody></table>
<p>The cells fill the lap without a gap or an overlap, so what they lost adds up to the lap’s gap:</p>
${formula('Σ (Δ(<i>s</i><sub>to</sub>) − Δ(<i>s</i><sub>from</sub>)) = Δ(lap)')}
<p>A cell that the gate cuts is listed in two parts. Shown cells are rounded by largest remainders so that they add up to the shown total.</p>
<p>Where the robot logged the speed and the offset that it aimed at, each cell also splits into <dfn>plan</dfn> (the planned time minus the reference’s) and <dfn>execution</dfn> (the ridden time minus the planned one).</p>`,
    aside: 'A corner that needs no braking has an empty braking cell.',
  },
  {
    id: 'causes',
    title: 'Causes',
    html: `<p>In each corner both laps are described without loss by what a rider does: the way ridden, braking, the speed through the corner, pick-up, drive, gear changes. Any mixture of the two descriptions is put together again to a lap that somebody could have ridden, and its time is computed. A cause’s share of the gap is the mean change of that time when its part goes over from the reference to the lap, over all orders of joining within and between groups (the Owen value). The shares add up to the gap without remainder; exchanging the laps changes their signs; what the laps do not differ in has a share of zero.</p>
<table class="plain"><thead><tr><th scope="col">group</th><th scope="col">cause</th><th scope="col">what goes over</th></tr></thead><tbody>
<tr><th scope="row">line</th><td>length, shape</td><td>metres ridden per metre of station; curvature, by positions and, where it is logged and turns as they do, by the rate of turn</td></tr>
<tr><th scope="row" rowspan="2">entry</th><td>brake timing</td><td>where braking ends, beyond what its deceleration and the corner’s speed need, and how it is built up</td></tr>
<tr><td>braking strength</td><td>the deceleration</td></tr>
<tr><th scope="row">corner speed</th><td>corner speed</td><td>lateral acceleration at the slowest place, and the speed around it</td></tr>
<tr><th scope="row">exit</th><td>pick-up, drive, gear changes</td><td>where drive begins; the share used of the drive that speed and lean leave; drive missing at each change up</td></tr></tbody></table>
<p>Braking timing is a margin at equal deceleration: softer braking has to begin earlier, and those metres count as strength. Speed that is missing on the way to later corners is charged to the cause that lost it; only what comes over the gate is left as such. The drive that lean leaves is the frontier of what both riders showed, fitted over their laps.</p>
<p>Intervals come from repeating the split with event stations, positions, speeds and the frontier drawn anew from their doubt. Where the members of a group trade off against each other, or nobody showed what drive there is at a lean, only the group is given: <dfn>not separable</dfn>. Where large effects cancel, so that their sizes add up to more than five times the gap, the corner is <dfn>ill-conditioned</dfn> and only groups are given. Where even the groups cancel and add up to more than a fifth of the corner’s time, its description does not fit, and only the longer way and the rest are given.</p>
<p>Where the session files give mass, power and drag area of both machines with who rides them, what these differ in is a cause of its own, <dfn>the machine</dfn>; else power and drag per mass count as equal.</p>
<p>As a double entry the same descriptions are split by another rule, in which all causes move together from the reference to the lap and each is charged along the way (Aumann–Shapley); the largest difference between the two rules over the groups of a corner stands under the table of causes of a lap, and for each corner in the results.</p>`,
    aside: 'Without throttle, gear, brake or speed channels the split is coarser, and the page says how.',
  },
  {
    id: 'doubt',
    title: 'Uncertainty',
    html: `<p>The standard deviation of a gap follows from that of the positions along the track, of the stamps, and of the point on the machine that was measured; an error of place becomes one of time through speed:</p>
${formula('<i>δt</i> = <i>δs</i> / <i>v</i>')}
<p>± is always a 90\u202f% interval, ${Z_90} standard deviations. For several laps the pages give the median and the range from least to greatest, with the number of laps. A best lap is shown beside the median; it proves nothing about a gain.</p>
<p>Shares are shares of what was lost. What was gained elsewhere is not set off against it.</p>`,
  },
  {
    id: 'technique',
    title: 'Technique',
    html: `<p>For each corner and lap: where braking begins and ends, how long its peak takes and how high it is, how long brake and lean overlap, the slowest point and its speed, the largest lean and roll rate, pick-up (half way up the rise of the throttle that drives the machine out), full drive, coasting time, and the speed at a fixed station of the exit. An event is read from its own channel where the log has one, and from speed where it has not; each measure carries the rule it was read by, and two laps’ events are compared only where the same rule found both.</p>
<p>The band against which a lap is placed is what the reference rider’s own valid laps cover.</p>`,
  },
];

/** Everything the method page says. */
export function methodReport(results: Results): MethodReport {
  return {
    kind: 'method',
    ...pageOf(results, {
      path: methodPath,
      name: 'Method',
      kicker: [{ text: `Method version ${METHOD_VERSION}, results schema ${RESULTS_SCHEMA}` }],
      headline: 'How the numbers are made',
      opening:
        'Two laps are laid side by side by place on the circuit; the difference of their times is split over corners and phases without remainder, and each number carries what it is uncertain by.',
    }),
    sections: SECTIONS,
    constants: {
      id: 'constants',
      caption: 'Constants of the method',
      columns: [
        { title: 'name', kind: 'text' },
        { title: 'value', kind: 'number' },
        { title: 'unit', kind: 'text' },
        { title: 'meaning', kind: 'text' },
        { title: 'used in', kind: 'text' },
      ],
      ...tableLinks(methodPath, 'constants'),
      rows: METHOD_CONSTANTS.map((c) => [
        { text: c.name },
        { text: String(Number(c.value.toPrecision(6))).replace('-', '−') },
        { text: c.unit === '1' ? '' : c.unit },
        { text: c.meaning },
        { text: c.where },
      ]),
    },
    circuits: {
      id: 'circuits',
      caption: 'Circuits, phase maps and reference laps of this campaign',
      columns: [
        { title: 'circuit', kind: 'text' },
        { title: 'length', unit: 'm', kind: 'number' },
        { title: 'corners', kind: 'number' },
        { title: 'phase map', kind: 'text' },
        { title: 'reference lap', kind: 'text' },
        { title: 'reference laps', kind: 'number' },
      ],
      rows: results.campaign.circuits.map((c) => [
        { text: c.name },
        { text: c.lengthM.toFixed(1) },
        { text: String(c.corners.length) },
        { text: c.phaseMap === null ? 'none' : `version ${c.phaseMap}` },
        c.reference
          ? {
              text: `${c.reference.session}, ${c.reference.run}, lap ${c.reference.lap}`,
              ...(results.lap(c.reference)?.page ? { href: results.lap(c.reference)!.page! } : {}),
            }
          : { text: 'none', tone: 'quiet' },
        { text: String(c.referenceBand?.laps ?? 0) },
      ]),
      ...tableLinks(methodPath, 'circuits'),
    },
  };
}
