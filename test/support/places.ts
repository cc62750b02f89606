import { execFileSync } from 'node:child_process'
import { existsSync, mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const project = fileURLToPath(new URL('../../', import.meta.url))

export const DEMO_TERRAIN = join(project, 'assets/demo-massif.tif')

/** A file of the folder of shared test data beside the checkout; null where it is absent. */
export function sharedFile(path: string): string | null {
  const full = join(project, '../shared', path)
  return existsSync(full) ? full : null
}

export const SAN_GABRIEL_UTM = sharedFile('terrain/san-gabriel-utm-30m.tif')
export const SAN_GABRIEL_DEGREES = sharedFile('terrain/san-gabriel-geographic-1arcsec.tif')

/** Says in a test's name why it is skipped. */
export const NO_SHARED_TERRAIN = 'skipped: no ../shared/terrain'

/** True where a program can be started. */
export function isInstalled(program: string): boolean {
  try {
    execFileSync(program, ['--version'], { stdio: 'ignore' })
    return true
  } catch (error) {
    // Some programs know no --version; only one that is missing is not installed.
    return (error as NodeJS.ErrnoException).code !== 'ENOENT'
  }
}

export function temporaryFolder(): string {
  return mkdtempSync(join(tmpdir(), 'colsight-test-'))
}
