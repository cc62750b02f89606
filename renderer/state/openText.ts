import type { TextFile } from '../../core/host'
import { isLogTable } from '../../core/log/logTable'
import { offerFile } from './exchange'
import { lookAtLog } from './flown'
import { openPlan } from './planFile'

/** A plan is opened, a log compared; other positions are offered to the plan at hand. */
export async function openText(file: TextFile): Promise<void> {
  if (/json$/i.test(file.name) && /"colsight"\s*:/.test(file.text)) await openPlan(file)
  else if (isLogTable(file.text)) await lookAtLog(file)
  else offerFile(file)
}
