import { existsSync } from 'node:fs'

const CANDIDATES = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome']

/** The system's chromium; COLSIGHT_CHROMIUM names another. */
export const CHROMIUM =
  process.env.COLSIGHT_CHROMIUM ?? CANDIDATES.find((path) => existsSync(path)) ?? CANDIDATES[0]
export const HAS_CHROMIUM = existsSync(CHROMIUM)
