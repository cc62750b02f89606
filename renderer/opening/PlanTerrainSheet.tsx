import {
  chooseTerrainForPlan,
  useOtherTerrain,
  useTerrainAtHand,
  waitingPlan,
} from '../state/planFile'
import { terrain } from '../state/terrain'
import { notice } from '../state/work'
import { formatNumber } from '../../core/words/units'
import { say } from '../../core/words/say'
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
      title={say('planTerrain.terrainPlan')}
      about={name}
      onClose={close}
      foot={
        <>
          <button type="button" onClick={close}>
            {say('common.cancel')}
          </button>
          <button type="button" onClick={other ? useOtherTerrain : useTerrainAtHand}>
            {other ? say('planTerrain.useThemAllSame') : say('planTerrain.useTerrainHand')}
          </button>
          <button type="button" class="primary" onClick={() => void chooseTerrainForPlan()}>
            {say('planTerrain.chooseTerrain')}
          </button>
        </>
      }
    >
      <div class="sheet-text">
        <p>
          {say('planTerrain.planMade')}{' '}
          {files.length === 1
            ? say('planTerrain.file')
            : say('planTerrain.theseFiles', { files: files.length })}
          :
        </p>
        <ul>
          {files.slice(0, MOST_FILES).map((file) => (
            <li key={file.fingerprint}>
              {file.name} ({formatNumber(file.sizeBytes / 1e6, 1)} MB)
            </li>
          ))}
          {files.length > MOST_FILES && (
            <li>{say('planTerrain.more', { files: files.length - MOST_FILES })}</li>
          )}
        </ul>
        {other ? (
          <p>
            <strong>{say('planTerrain.whatYouChoseOther')}</strong>{' '}
            {say('planTerrain.otherGroundEveryHeight', { name: other.read.grid.name })}
          </p>
        ) : (
          <p>{say('planTerrain.chooseLayPlanTerrain', { name: terrain.value?.name ?? '' })}</p>
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
