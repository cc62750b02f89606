import type { BrowserWindow } from 'electron'
import { PilotError } from '../../core/errors'
import type { HostRequest } from '../../core/host'
import { CHANNELS } from './channels'

/** Requests to the window; they wait until it listens. */
export class Requests {
  private window: BrowserWindow | null = null
  private waiting: HostRequest[] = []

  send(request: HostRequest): void {
    if (this.window) this.window.webContents.send(CHANNELS.request, request)
    else this.waiting.push(request)
  }

  listenWith(window: BrowserWindow): void {
    this.window = window
    for (const request of this.waiting.splice(0)) this.send(request)
  }

  /** The page is gone; what comes waits for the next one. */
  wait(): void {
    this.window = null
  }

  /** What work gives; null where it fails with a sentence, which the window then shows. */
  async orNotice<T>(work: () => Promise<T>): Promise<T | null> {
    try {
      return await work()
    } catch (error) {
      if (!(error instanceof PilotError)) throw error
      this.send({ kind: 'notice', sentence: error.message })
      return null
    }
  }

  focus(): void {
    const { window } = this
    if (!window) return
    if (window.isMinimized()) window.restore()
    window.focus()
  }
}
