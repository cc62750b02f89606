import { spawn } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { FolderStore } from '../../electron/node/folderStore'
import { seededRandom } from '../support/exactReference'
import { temporaryFolder } from '../support/places'

/** What was found after a process was killed. */
export interface AfterKill {
  /** Number of the last text that the process said was written. */
  readonly said: number
  /** Number of the text found; null for a broken one. */
  readonly found: number | null
}

/** Kills so many processes, one after the other, at random moments of their writing. */
export async function killWriters(count: number, seed: number): Promise<AfterKill[]> {
  const random = seededRandom(seed)
  const folder = temporaryFolder()
  const results: AfterKill[] = []
  let next = 1
  for (let i = 0; i < count; i++) {
    const said = await killOne(folder, next, random() * 40)
    const text = await new FolderStore(folder).read('draft-one')
    const found = text === null ? null : numberOf(text)
    results.push({ said: Math.max(said, next - 1), found })
    next = (found ?? next) + 1
  }
  return results
}

/** Runs a writer until some while after its first text; the last number it said. */
function killOne(folder: string, from: number, afterMs: number): Promise<number> {
  const script = fileURLToPath(new URL('writer.ts', import.meta.url))
  const writer = spawn(process.execPath, ['--import', 'tsx', script, folder, String(from)])
  let said = ''
  let timer: NodeJS.Timeout | undefined
  writer.stdout.on('data', (text: Buffer) => {
    said += text.toString()
    timer ??= setTimeout(() => writer.kill('SIGKILL'), afterMs)
  })
  return new Promise((resolve, reject) => {
    writer.on('error', reject)
    writer.on('exit', () => {
      clearTimeout(timer)
      const whole = said.split('\n').slice(0, -1)
      resolve(Number(whole.at(-1) ?? 0))
    })
  })
}

function numberOf(text: string): number | null {
  try {
    const { number, filling } = JSON.parse(text) as { number: number; filling: string }
    return filling.length === 200_000 ? number : null
  } catch {
    return null
  }
}
