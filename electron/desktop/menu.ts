import type { MenuItemConstructorOptions } from 'electron'
import type { Command } from '../../core/host'

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
      label: '&File',
      submenu: [
        item('Open terrain…', 'open-terrain', 'CmdOrCtrl+O'),
        item('Open plan…', 'open-plan', 'CmdOrCtrl+Shift+O'),
        {
          label: 'Recent files',
          role: 'recentDocuments',
          submenu: [{ role: 'clearRecentDocuments' }],
        },
        item('Save plan…', 'save-plan', 'CmdOrCtrl+S'),
        separator,
        item('Field brief…', 'make-brief', 'CmdOrCtrl+P'),
        item('Bring in a flight log…', 'bring-in-log'),
        separator,
        { role: platform === 'darwin' ? 'close' : 'quit' },
      ],
    },
    {
      label: '&Edit',
      submenu: [
        item('Undo', 'undo', 'CmdOrCtrl+Z'),
        item('Redo', 'redo', 'CmdOrCtrl+Shift+Z'),
        separator,
        { role: 'cut' },
        { role: 'copy' },
        { role: 'paste' },
        { role: 'selectAll' },
      ],
    },
    {
      label: '&View',
      submenu: [
        { role: 'zoomIn' },
        { role: 'zoomOut' },
        { role: 'resetZoom' },
        separator,
        { role: 'togglefullscreen' },
      ],
    },
    { label: '&Help', role: 'help', submenu: [{ role: 'about' }] },
  ]
}
