import type { Reporter, SerializedError, TestModule, TestRunEndReason } from 'vitest/node';

/** Closes a run with one plain line, `12 passed, 0 failed`, as the last of all; files that cannot be run count as failed. */
export default class SummaryReporter implements Reporter {
  onTestRunEnd(modules: readonly TestModule[], errors: readonly SerializedError[], _reason: TestRunEndReason): void {
    const count = { passed: 0, failed: errors.length, skipped: 0, pending: 0 };
    for (const module of modules) {
      const tests = [...module.children.allTests()];
      for (const test of tests) count[test.result().state] += 1;
      // A file whose imports or hooks fail has no failed test of its own.
      if (module.state() === 'failed' && !tests.some((test) => test.result().state === 'failed')) count.failed += 1;
    }
    const skipped = count.skipped + count.pending;
    const line = `${count.passed} passed, ${count.failed} failed${skipped ? `, ${skipped} skipped` : ''}`;
    // The other reporters write when the run ends too; this line has to come after theirs.
    process.once('exit', () => process.stdout.write(`${line}\n`));
  }
}
