/** Best time of several runs in a row, milliseconds: what the machine can do when left alone. */
export async function bestOf(runs: number, work: () => unknown): Promise<number> {
  return Math.min(...(await timesOfEach(runs, [work]))[0])
}

/**
 * The middle time of each of several works that take turns, so that one is not measured in a busier
 * minute. Their best times are no fair match on a machine with other tenants: the shorter work finds
 * a quiet moment more often.
 */
export async function middleOfEach(
  runs: number,
  works: readonly (() => unknown)[],
): Promise<number[]> {
  const times = await timesOfEach(runs, works)
  return times.map((its) => its.sort((a, b) => a - b)[Math.floor(runs / 2)])
}

async function timesOfEach(runs: number, works: readonly (() => unknown)[]): Promise<number[][]> {
  const times = works.map((): number[] => [])
  for (let run = 0; run < runs; run++) {
    for (const [k, work] of works.entries()) {
      const start = performance.now()
      await work()
      times[k].push(performance.now() - start)
    }
  }
  return times
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
