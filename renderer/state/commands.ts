import type { Command, HostRequest } from '../../core/host'
import { host } from '../host/host'
import { showBrief } from './brief'
import { chooseLog } from './flown'
import { aboutIsOpen, openHelpHere } from './help'
import { openText } from './openText'
import { lookAtFiles } from './opening'
import { choosePlan, savePlan } from './planFile'
import { setupHistory } from './setup'
import { notice } from './work'

const COMMANDS: Readonly<Record<Command, () => unknown>> = {
  'open-terrain': async () => lookAtFiles(await host.openTerrain()),
  'open-plan': choosePlan,
  'save-plan': savePlan,
  'make-brief': showBrief,
  'bring-in-log': chooseLog,
  undo: () => setupHistory.undo(),
  redo: () => setupHistory.redo(),
  help: openHelpHere,
  about: () => (aboutIsOpen.value = true),
}

/** True where text is being edited, which has an undo of its own. */
export function isTextField(element: unknown): boolean {
  return (
    element instanceof HTMLTextAreaElement ||
    (element instanceof HTMLInputElement && element.type === 'text')
  )
}

/** Does what a menu or a key asks for, unless a sheet wants an answer first. */
export function runCommand(command: Command): void {
  if ((command === 'undo' || command === 'redo') && isTextField(document.activeElement)) {
    // On macOS the menu has these keys before the field; there is no other way to hand them on.
    document.execCommand(command)
    return
  }
  if (command !== 'save-plan' && document.querySelector('dialog[open]')) return
  void COMMANDS[command]()
}

/** Does what the host asks for. */
export function answerHost(request: HostRequest): void {
  if (request.kind === 'command') runCommand(request.command)
  else if (request.kind === 'notice') notice.value = request.sentence
  else void openText(request.file)
}

/** The command of a key pressed together with Ctrl or Cmd; null for none. */
export function commandOfKey(key: string, isShifted: boolean): Command | null {
  switch (key.toLowerCase()) {
    case 'z':
      return isShifted ? 'redo' : 'undo'
    case 'y':
      return 'redo'
    case 'o':
      return isShifted ? 'open-plan' : 'open-terrain'
    case 's':
      return 'save-plan'
    case 'p':
      return 'make-brief'
    default:
      return null
  }
}
