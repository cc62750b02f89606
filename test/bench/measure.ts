/** Best time of several runs in a row, milliseconds: what the machine can do when left alone. */
export async function bestOf(runs: number, work: () => unknown): Promise<number> {
  return (await bestOfEach(runs, [work]))[0]
}

/** The same for several works that take turns, so that one is not measured in a busier minute. */
export async function bestOfEach(
  runs: number,
  works: readonly (() => unknown)[],
): Promise<number[]> {
  const best = works.map(() => Infinity)
  for (let run = 0; run < runs; run++) {
    for (const [k, work] of works.entries()) {
      const start = performance.now()
      await work()
      best[k] = Math.min(best[k], performance.now() - start)
    }
  }
  return best
}

/** A line of a bench: what was measured, and its ratio to a reference of the same run. */
export function report(
  what: string,
  ms: number,
  reference?: { what: string; ms: number } | null,
): void {
  const ratio = reference
    ? `, ${(ms / reference.ms).toFixed(2)} times ${reference.what} (${reference.ms.toFixed(1)} ms)`
    : ''
  console.log(`${what}: ${ms.toFixed(1)} ms${ratio}`)
}
