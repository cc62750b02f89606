import type { Host } from '../../core/host'
import { browserHost } from './browserHost'

declare global {
  interface Window {
    /** Put there by the desktop host's preload script. */
    readonly colsightDesktop?: Host
  }
}

export const host: Host = window.colsightDesktop ?? browserHost
