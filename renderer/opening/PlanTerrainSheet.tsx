import {
  chooseTerrainForPlan,
  useOtherTerrain,
  useTerrainAtHand,
  waitingPlan,
} from '../state/planFile'
import { terrain } from '../state/terrain'
import { notice } from '../state/work'
import { ModalSheet } from './ModalSheet'

/** Asks for the terrain of a plan that cannot be found by itself. */
export function PlanTerrainSheet() {
  return waitingPlan.value && <Sheet />
}

/** Files listed by name. */
const MOST_FILES = 6

function Sheet() {
  const { document, name, other } = waitingPlan.value!
  const { files } = document.terrain
  const close = () => (waitingPlan.value = null)
  return (
    <ModalSheet
      class="small-sheet"
      title="Terrain of the plan"
      about={name}
      onClose={close}
      foot={
        <>
          <button type="button" onClick={close}>
            Cancel
          </button>
          <button type="button" onClick={other ? useOtherTerrain : useTerrainAtHand}>
            {other ? 'Use them all the same' : 'Use the terrain at hand'}
          </button>
          <button type="button" class="primary" onClick={() => void chooseTerrainForPlan()}>
            Choose terrain…
          </button>
        </>
      }
    >
      <div class="sheet-text">
        <p>
          This plan was made on {files.length === 1 ? 'this file' : `these ${files.length} files`}:
        </p>
        <ul>
          {files.slice(0, MOST_FILES).map((file) => (
            <li key={file.fingerprint}>
              {file.name} ({(file.sizeBytes / 1e6).toFixed(1)} MB)
            </li>
          ))}
          {files.length > MOST_FILES && <li>and {files.length - MOST_FILES} more</li>}
        </ul>
        {other ? (
          <p>
            <strong>What you chose are other files</strong> ({other.read.grid.name}). On other
            ground every height, corridor and landing area may come out differently.
          </p>
        ) : (
          <p>Choose it, or lay the plan on the terrain at hand, {terrain.value?.name}.</p>
        )}
      </div>
      {notice.value && (
        <p class="sheet-problem" role="alert">
          {notice.value}
        </p>
      )}
    </ModalSheet>
  )
}
