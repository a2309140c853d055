/** Pit lane, in metres from the gate: where the rider stops, where lanes part and join, where its speed limit ends and begins. */
export const PIT = {
  boxM: -55,
  exitM: 105,
  mergedM: 205,
  freeM: 160,
  slowM: -185,
  leaveM: -180,
  enteredM: -95,
  limitMps: 16.3,
};
