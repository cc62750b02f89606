import type { MenuItemConstructorOptions } from 'electron'
import type { Command } from '../../core/host'
import { say } from '../../core/words/say'

function recentFiles(): MenuItemConstructorOptions {
  return {
    label: say('menu.recentFiles'),
    role: 'recentDocuments',
    submenu: [{ label: say('menu.clearRecentDocuments'), role: 'clearRecentDocuments' }],
  }
}

/**
 * The application menu. Its commands go to the window, which does them; undo and redo are those of
 * the plan, and text fields have their own by the same keys.
 */
export function menuTemplate(
  platform: NodeJS.Platform,
  send: (command: Command) => void,
): MenuItemConstructorOptions[] {
  const item = (
    label: string,
    command: Command,
    accelerator?: string,
  ): MenuItemConstructorOptions => ({
    label,
    accelerator,
    // The window has the same keys, and knows when a text field wants them.
    registerAccelerator: false,
    click: () => send(command),
  })
  const separator: MenuItemConstructorOptions = { type: 'separator' }
  return [
    ...(platform === 'darwin' ? [{ role: 'appMenu' } as const] : []),
    {
      label: say('menu.file'),
      submenu: [
        item(say('side.openTerrain'), 'open-terrain', 'CmdOrCtrl+O'),
        item(say('plan.openPlan'), 'open-plan', 'CmdOrCtrl+Shift+O'),
        // Only there does the system fill such a list; elsewhere the window has its recent plans.
        ...(platform === 'darwin' ? [recentFiles()] : []),
        item(say('plan.savePlan'), 'save-plan', 'CmdOrCtrl+S'),
        separator,
        item(say('menu.fieldBrief'), 'make-brief', 'CmdOrCtrl+P'),
        item(say('menu.flightLog'), 'bring-in-log'),
        separator,
        platform === 'darwin'
          ? { label: say('common.close'), role: 'close' }
          : { label: say('menu.quit'), role: 'quit' },
      ],
    },
    {
      label: say('menu.edit'),
      submenu: [
        item(say('side.undo'), 'undo', 'CmdOrCtrl+Z'),
        item(say('side.redo'), 'redo', 'CmdOrCtrl+Shift+Z'),
        separator,
        { label: say('menu.cut'), role: 'cut' },
        { label: say('menu.copy'), role: 'copy' },
        { label: say('menu.paste'), role: 'paste' },
        { label: say('menu.selectAll'), role: 'selectAll' },
      ],
    },
    {
      label: say('menu.view'),
      submenu: [
        { label: say('menu.zoomIn'), role: 'zoomIn' },
        { label: say('menu.zoomOut'), role: 'zoomOut' },
        { label: say('menu.resetZoom'), role: 'resetZoom' },
        separator,
        { label: say('menu.togglefullscreen'), role: 'togglefullscreen' },
      ],
    },
    {
      label: say('menu.help'),
      role: 'help',
      submenu: [item(say('help.help'), 'help', 'F1'), item(say('program.about'), 'about')],
    },
  ]
}
