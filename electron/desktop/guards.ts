import type { IpcMainInvokeEvent, WebContents } from 'electron'
import { APP_ORIGIN } from './channels'

/** Copying a position is the one thing the page may do that asks for a permission. */
const PERMITTED = 'clipboard-sanitized-write'

/** Keeps every page, also those that nobody sees, on what the program itself serves. */
export function guardContents(contents: Pick<WebContents, 'on' | 'setWindowOpenHandler'>): void {
  // No such thing is asked for, and none is let in.
  contents.on('will-attach-webview', (event) => event.preventDefault())
  contents.on('will-navigate', (event) => {
    if (!isOwnPage(event.url)) event.preventDefault()
  })
  contents.on('will-redirect', (event) => {
    if (!isOwnPage(event.url)) event.preventDefault()
  })
  // The window links to nothing outside, so nothing is handed to the system's browser either.
  contents.setWindowOpenHandler(() => ({ action: 'deny' }))
}

/** @param address of the page that asks, or its origin alone */
export function isPermitted(permission: string, address: string): boolean {
  return permission === PERMITTED && (address === APP_ORIGIN || isOwnPage(address))
}

/** True for messages of the window itself: its own page, and no frame inside it. */
export function isOwnWindow({ senderFrame }: Pick<IpcMainInvokeEvent, 'senderFrame'>): boolean {
  return senderFrame !== null && senderFrame.parent === null && isOwnPage(senderFrame.url)
}

function isOwnPage(url: string): boolean {
  return url.startsWith(`${APP_ORIGIN}/`)
}
