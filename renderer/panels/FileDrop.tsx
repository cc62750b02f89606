import type { ComponentChildren } from 'preact'
import { useSignal } from '@preact/signals'
import { terrainAmong } from '../host/pickedFiles'
import { openText } from '../state/openText'
import { host } from '../host/host'
import { lookAtFiles, opening } from '../state/opening'
import { say } from '../../core/words/say'
import { notice } from '../state/work'

/** The whole window takes dropped terrain files, a plan, or positions of another program. */
export function FileDrop({ children }: { children: ComponentChildren }) {
  const over = useSignal(false)
  const holdsFiles = (event: DragEvent) => event.dataTransfer?.types.includes('Files') ?? false
  return (
    <div
      class="window"
      onDragOver={(event) => {
        if (!holdsFiles(event)) return
        event.preventDefault()
        over.value = true
      }}
      onDragLeave={(event) => {
        if (event.relatedTarget === null) over.value = false
      }}
      onDrop={(event) => {
        if (!holdsFiles(event)) return
        event.preventDefault()
        over.value = false
        void openDropped([...(event.dataTransfer?.files ?? [])])
      }}
    >
      {children}
      {over.value && <div class="drop-hint">{say('fileDrop.dropElevationModelsHere')}</div>}
    </div>
  )
}

async function openDropped(files: readonly File[]): Promise<void> {
  const text = files.find(({ name }) => /\.(geojson|json|gpx|kml|csv|txt|tsv)$/i.test(name))
  if (text) {
    await openText({ name: text.name, text: await text.text() })
    return
  }
  const open = opening.peek()
  const sources = await terrainAmong(files, open && !open.isAgain ? open.request.sources : [])
  if (files.length > 0 && sources.length === 0) {
    notice.value = say('fileDrop.noElevationModelAmong')
  }
  if (sources.length > 0) void host.rememberTerrain?.(files)
  await lookAtFiles(sources)
}
