import '@fontsource/barlow/latin-400.css'
import '@fontsource/barlow/latin-500.css'
import '@fontsource/barlow/latin-600.css'
import './style/window.css'
import './style/sheet.css'
import { render } from 'preact'
import { App } from './App'
import { openDemo } from './state/demo'

const root = document.getElementById('app')
if (!root) throw new Error('the page has no #app element')
render(<App />, root)
void openDemo()
