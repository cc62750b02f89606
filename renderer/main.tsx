import '@fontsource/barlow/latin-400.css'
import '@fontsource/barlow/latin-500.css'
import '@fontsource/barlow/latin-600.css'
import './style/window.css'
import './style/sheet.css'
import { render } from 'preact'
import { App } from './App'
import { host } from './host/host'
import { answerHost } from './state/commands'
import { loadKept } from './state/kept'
import './state/language'
import { begin } from './state/planFile'
import { tileSourceAllowed } from './state/preferences'
import { say } from '../core/words/say'
import { notice } from './state/work'

// What went wrong where nobody waited for it is said as well.
window.addEventListener('unhandledrejection', ({ reason }: PromiseRejectionEvent) => {
  const message = reason instanceof Error ? reason.message : String(reason)
  notice.value = say('common.somethingWentWrongInside', { message })
})

const root = document.getElementById('app')
if (!root) throw new Error('the page has no #app element')
const isAllRead = await loadKept()
tileSourceAllowed()
render(<App />, root)
void begin(() => {
  if (!isAllRead) notice.value = say('kept.cannotRead')
  host.onRequest(answerHost)
})
