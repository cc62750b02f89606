import { useEffect, useRef } from 'preact/hooks'
import { DrawingBar } from './map/DrawingBar'
import { SiteMap } from './map/siteMap'
import { AboutSheet } from './opening/AboutSheet'
import { CompareSheet } from './opening/CompareSheet'
import { HelpSheet } from './opening/HelpSheet'
import { LogSheet } from './opening/LogSheet'
import { OpeningSheet } from './opening/OpeningSheet'
import { BriefSheet } from './opening/BriefSheet'
import { IncomingSheet } from './opening/IncomingSheet'
import { PlanTerrainSheet } from './opening/PlanTerrainSheet'
import { TerrainGuide } from './opening/TerrainGuide'
import { FileDrop } from './panels/FileDrop'
import { PointerReadout } from './panels/PointerReadout'
import { SidePanel } from './panels/SidePanel'
import { WorkDisplay } from './panels/WorkDisplay'
import { BottomPanel } from './profile/BottomPanel'
import { commandOfKey, isTextField, runCommand } from './state/commands'
import { cancelDrawing, drawing, removeLastPoint } from './state/drawing'
import { say } from '../core/words/say'
import { notice } from './state/work'

export function App() {
  return (
    <FileDrop>
      <main class="stage">
        <div class="map-area">
          <MapView />
          <PointerReadout />
          <WorkDisplay />
          <DrawingBar />
          <Notice />
        </div>
        <BottomPanel />
      </main>
      <SidePanel />
      <OpeningSheet />
      <TerrainGuide />
      <PlanTerrainSheet />
      <IncomingSheet />
      <BriefSheet />
      <LogSheet />
      <CompareSheet />
      <HelpSheet />
      <AboutSheet />
      <Keys />
    </FileDrop>
  )
}

const DRAWING_KEYS: Readonly<Record<string, (() => void) | undefined>> = {
  Escape: cancelDrawing,
  Backspace: removeLastPoint,
}

function MapView() {
  const container = useRef<HTMLDivElement>(null)
  useEffect(() => {
    if (container.current) new SiteMap(container.current)
  }, [])
  return <div class="map" ref={container} role="region" aria-label={say('app.mapSite')} />
}

function Notice() {
  return (
    <div class="notice-place" role="alert">
      {notice.value && (
        <div class="notice">
          <p>{notice.value}</p>
          <button type="button" onClick={() => (notice.value = null)}>
            {say('app.dismiss')}
          </button>
        </div>
      )}
    </div>
  )
}

/** Undo, redo and drawing by the usual keys, except where text is being edited. */
function Keys() {
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (document.querySelector('dialog[open]')) return
      const isText = isTextField(event.target)
      // A text field has its own undo; files are opened and saved from it all the same.
      if (isText && /^[zy]$/i.test(event.key)) return
      if (isText && !(event.ctrlKey || event.metaKey || event.key === 'F1')) return
      if (drawing.peek()) {
        const act = DRAWING_KEYS[event.key]
        if (act) {
          act()
          event.preventDefault()
          return
        }
      }
      if (event.key === 'F1') {
        runCommand('help')
        event.preventDefault()
        return
      }
      if (!(event.ctrlKey || event.metaKey)) return
      const command = commandOfKey(event.key, event.shiftKey)
      if (command === null) return
      // While something is drawn its last point is what is undone.
      if (command === 'undo' && drawing.peek()) removeLastPoint()
      else runCommand(command)
      event.preventDefault()
    }
    window.addEventListener('keydown', onKey)
    return () => window.removeEventListener('keydown', onKey)
  }, [])
  return null
}
