import { headingParts } from './headings.ts';
import { type ChannelName, channelKind } from './recording.ts';

/** One entry of `columns:` in a session file. */
export interface ColumnRule {
  /** Heading in the log, whole or without its unit. */
  readonly from: string;
  /** UCUM; wins over the unit in the heading. For time also `hhmmss`. */
  readonly unit?: string | undefined;
  readonly negate?: boolean | undefined;
  /** Angles of travel: counted counter-clockwise from east, not clockwise from north. */
  readonly fromEast?: boolean | undefined;
  /** Place in the session file, for problems. */
  readonly file: string;
  readonly line?: number | undefined;
}

/** From headings to channels: rules of the session file first, then headings that are channel names. */
export class ColumnMap {
  readonly rules: ReadonlyMap<ChannelName, ColumnRule>;

  constructor(rules: ReadonlyMap<ChannelName, ColumnRule> = new Map()) {
    this.rules = rules;
  }

  wants(heading: string): boolean {
    return this.channelOf(heading) !== null || isDate(heading);
  }

  channelOf(heading: string): { name: ChannelName; rule: ColumnRule | null } | null {
    const { name } = headingParts(heading);
    for (const [channel, rule] of this.rules)
      if (rule.from === heading || rule.from === name) return { name: channel, rule };
    const own = name.toLowerCase();
    // A channel that a rule takes from elsewhere is not taken from its namesake as well.
    return channelKind(own) !== null && !this.rules.has(own as ChannelName)
      ? { name: own as ChannelName, rule: null }
      : null;
  }
}

/** A column whose dates belong to the times of day in another. */
export const isDate = (heading: string): boolean => /\bdate\b/i.test(heading);
