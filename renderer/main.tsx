import '@fontsource/barlow/latin-400.css'
import '@fontsource/barlow/latin-500.css'
import '@fontsource/barlow/latin-600.css'
import './style/window.css'
import './style/sheet.css'
import { render } from 'preact'
import { App } from './App'
import { loadKept } from './state/kept'
import { begin } from './state/planFile'

const root = document.getElementById('app')
if (!root) throw new Error('the page has no #app element')
await loadKept()
render(<App />, root)
void begin()
