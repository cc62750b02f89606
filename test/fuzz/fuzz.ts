import { fork } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import type { Fate } from './victim'

/** No mutant may take longer than this, nor its process more memory. */
export const MOST_MS = 5000
export const MOST_MB = 1000
/** Mutants read by one process, and processes at a time. */
const A_PROCESS = 250
const AT_ONCE = 2

export interface FuzzReport {
  readonly fates: readonly Fate[]
  /** Fates that must not be: a crash, a hang, too much memory, words that are no sentence. */
  readonly bad: readonly Fate[]
}

/** Reads the mutants of seeds, a few at a time, each under watch. */
export async function fuzz(
  from: number,
  count: number,
  onFate: (fate: Fate) => void = () => {},
): Promise<FuzzReport> {
  const fates: Fate[] = []
  const tasks: { from: number; count: number }[] = []
  for (let start = from; start < from + count; start += A_PROCESS) {
    tasks.push({ from: start, count: Math.min(A_PROCESS, from + count - start) })
  }
  const keep = (fate: Fate) => {
    fates.push(fate)
    onFate(fate)
  }
  const work = async () => {
    for (let task = tasks.shift(); task; task = tasks.shift()) {
      const last = await watch(task.from, task.count, keep)
      // One that had to be killed left the rest of its seeds undone.
      const rest = task.from + task.count - (last + 1)
      if (rest > 0) tasks.push({ from: last + 1, count: rest })
    }
  }
  await Promise.all(Array.from({ length: AT_ONCE }, work))
  return { fates, bad: fates.filter(isBad) }
}

function isBad({ end, words, ms, peakMb }: Fate): boolean {
  const isSentence = /^.{20,600}[.]$/.test(words) && !/undefined|NaN|\[object/.test(words)
  return end === 'crashed' || ms > MOST_MS || peakMb > MOST_MB || (end === 'refused' && !isSentence)
}

/** Runs one process; the last seed that came to an end, be it a bad one. */
function watch(from: number, count: number, onFate: (fate: Fate) => void): Promise<number> {
  const victim = fork(
    fileURLToPath(new URL('victim.ts', import.meta.url)),
    [String(from), String(count)],
    { execArgv: ['--import', 'tsx'], stdio: ['ignore', 'ignore', 'pipe', 'ipc'] },
  )
  let current = { seed: from - 1, recipe: 'starting' }
  let last = from - 1
  let errors = ''
  let timer: NodeJS.Timeout | undefined
  const crashed = (words: string, ms: number) => {
    last = Math.max(current.seed, from)
    onFate({ ...current, seed: last, end: 'crashed', words, ms, peakMb: 0 })
  }
  victim.stderr!.on('data', (text: Buffer) => (errors += text.toString()))
  return new Promise((resolve) => {
    let isKilled = false
    victim.on('message', (message: Fate | { seed: number; recipe: string }) => {
      clearTimeout(timer)
      if ('end' in message) {
        last = message.seed
        onFate(message)
        return
      }
      current = message
      timer = setTimeout(() => {
        isKilled = true
        crashed('hangs', 2 * MOST_MS)
        victim.kill('SIGKILL')
      }, 2 * MOST_MS)
    })
    victim.on('exit', () => {
      clearTimeout(timer)
      if (!isKilled && last < from + count - 1) crashed(errors || 'the process ended', 0)
      resolve(last)
    })
  })
}
