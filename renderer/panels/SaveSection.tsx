import { useSignal } from '@preact/signals'
import { host } from '../host/host'
import { coverage, whileHeld, type Coverage } from '../state/coverage'
import { setup } from '../state/setup'
import { fieldThread } from '../state/sweeping'
import { notice, trackWork } from '../state/work'
import { say, type TextKey } from '../../core/words/say'
import { Section } from './Section'

interface Result {
  readonly id: string
  readonly label: TextKey
  readonly fileName: string
  readonly make: (fields: Coverage, flyingHeightM: number) => Promise<Uint8Array>
}

const RESULTS: readonly Result[] = [
  {
    id: 'sight',
    label: 'save.clearHeightsSightGeotiff',
    fileName: 'sight.tif',
    make: ({ sightM, frame }) => fieldThread.fieldFile(sightM, frame),
  },
  {
    id: 'fresnel',
    label: 'save.clearHeightsFresnelGeotiff',
    fileName: 'fresnel.tif',
    make: ({ fresnelM, frame }) => fieldThread.fieldFile(fresnelM, frame),
  },
  {
    id: 'picture',
    label: 'save.shadingPngGeoreferenceZipped',
    fileName: 'shading.zip',
    make: (fields, heightM) =>
      fieldThread.pictureFile(fields, fields.frame, heightM, fields.errorM),
  },
  {
    id: 'polygons',
    label: 'save.shadingGeojsonPolygonsClass',
    fileName: 'shading.geojson',
    make: (fields, heightM) =>
      fieldThread.polygonFile(fields, fields.frame, heightM, fields.errorM),
  },
]

/** Results as files for other programs. */
export function SaveSection() {
  const chosen = useSignal(RESULTS[0].id)
  const result = RESULTS.find(({ id }) => id === chosen.value) ?? RESULTS[0]
  return (
    <Section title={say('save.saveResults')}>
      <div class="field field-wide">
        <label for="result-kind">{say('save.whatSave')}</label>
        <select
          id="result-kind"
          value={chosen.value}
          onChange={(event) => (chosen.value = event.currentTarget.value)}
        >
          {RESULTS.map(({ id, label }) => (
            <option key={id} value={id}>
              {say(label)}
            </option>
          ))}
        </select>
      </div>
      <div class="row">
        <button
          type="button"
          disabled={!coverage.value || coverage.value.isPreview}
          onClick={() => coverage.value && void save(result, coverage.value)}
        >
          {say('common.save')}
        </button>
      </div>
    </Section>
  )
}

async function save({ make, fileName }: Result, fields: Coverage): Promise<void> {
  const tracked = trackWork(say('save.making', { fileName }), null)
  try {
    const bytes = await whileHeld(fields, () => make(fields, setup.value.flyingHeightM))
    await host.saveFile(fileName, bytes)
    notice.value = null
  } catch (error) {
    notice.value = say('save.couldNotSavedChoose', {
      fileName,
      what: error instanceof Error ? error.message : String(error),
    })
  } finally {
    tracked.end()
  }
}
