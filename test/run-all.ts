import { execFile, spawnSync } from 'node:child_process'
import { mkdirSync, readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'

/**
 * Everything that must be green: types, lint, unit and reference tests, tests of the window.
 * Ends with one line that counts them all.
 */
const project = fileURLToPath(new URL('../', import.meta.url))
const out = join(project, 'test/.out')
rmSync(out, { recursive: true, force: true })
mkdirSync(out, { recursive: true })

const tally = { passed: 0, failed: 0, skipped: 0 }

function run(tool: string, args: string[], env: Record<string, string> = {}): boolean {
  console.log(`\n> ${tool} ${args.join(' ')}`)
  const { status } = spawnSync('npx', ['--no-install', tool, ...args], {
    cwd: project,
    stdio: 'inherit',
    env: { ...process.env, ...env },
  })
  return status === 0
}

/** A tool that only says yes or no counts as one test. What it says comes once it has ended. */
async function check(tool: string, args: string[]): Promise<void> {
  const ended = await promisify(execFile)('npx', ['--no-install', tool, ...args], {
    cwd: project,
    maxBuffer: 1 << 26,
  }).then(
    (said) => ({ ...said, isGood: true }),
    (error: { stdout: string; stderr: string }) => ({ ...error, isGood: false }),
  )
  console.log(`\n> ${tool} ${args.join(' ')}\n${ended.stdout}${ended.stderr}`)
  tally[ended.isGood ? 'passed' : 'failed']++
}

/** Adds a runner's report; a runner that fell over without one counts as a failure. */
function add(succeeded: boolean, read: () => typeof tally): void {
  try {
    const { passed, failed, skipped } = read()
    tally.passed += passed
    tally.failed += failed || (succeeded ? 0 : 1)
    tally.skipped += skipped
  } catch (error) {
    console.error(error)
    tally.failed++
  }
}

function readJson<T>(name: string): T {
  return JSON.parse(readFileSync(join(out, name), 'utf8')) as T
}

await Promise.all([
  check('eslint', ['.']),
  check('tsc', ['--noEmit']),
  check('tsx', ['electron/build.ts']),
  check('prettier', ['--check', '--log-level', 'warn', '.']),
])

const unitReport = join(out, 'unit.json')
const unit = run('vitest', [
  'run',
  '--reporter=default',
  '--reporter=json',
  `--outputFile.json=${unitReport}`,
])
add(unit, () => {
  const report = readJson<Record<string, number>>('unit.json')
  return {
    passed: report.numPassedTests,
    failed: report.numFailedTests,
    skipped: report.numPendingTests,
  }
})

const windowTests = run('playwright', ['test', '--reporter=list,json'], {
  PLAYWRIGHT_JSON_OUTPUT_NAME: join(out, 'window.json'),
})
add(windowTests, () => {
  const { stats } = readJson<{ stats: Record<string, number> }>('window.json')
  return {
    passed: stats.expected,
    failed: stats.unexpected + stats.flaky,
    skipped: stats.skipped,
  }
})

const skipped = tally.skipped > 0 ? `, ${tally.skipped} skipped` : ''
console.log(`\n${tally.passed} passed, ${tally.failed} failed${skipped}`)
process.exitCode = tally.failed > 0 || tally.passed === 0 ? 1 : 0
