import type { LoadedCampaign } from '../../campaign/load.ts';

/** Whether a note quotes or claims a cause: then the gap has to be split by cause, which takes as long as all the rest. */
export const asksForCauses = ({ campaign, weeks, milestones, sessions }: LoadedCampaign): boolean =>
  /[{\s]cause[\s}]/.test(
    JSON.stringify([campaign.about, weeks, milestones, sessions.map(({ session }) => session?.notes)]).replaceAll(
      '\\n',
      ' ',
    ),
  );
