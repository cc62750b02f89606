import { useSignal } from '@preact/signals'
import { NumberField } from '../panels/NumberField'
import { WorkDisplay } from '../panels/WorkDisplay'
import {
  assume,
  closeOpening,
  finishOpening,
  isReading,
  opening,
  openingFrame,
} from '../state/opening'
import { isUnsaved } from '../state/planText'
import { setup } from '../state/setup'
import type { Refusal } from '../workers/terrain.worker'
import { FileList, HEIGHT_UNITS, Oddities } from './FileList'
import type { Planned } from './OverviewMap'
import { SiteFields } from './SiteFields'
import { say } from '../../core/words/say'
import { ModalSheet } from './ModalSheet'

/** What terrain files are, and which part of them becomes the site. */
export function OpeningSheet() {
  return opening.value && <Sheet />
}

function Sheet() {
  const { looked, isAgain, problem } = opening.value!
  const { look, refused } = looked
  return (
    <ModalSheet
      class="opening"
      title={isAgain ? say('opening.anotherPartGround') : say('opening.groundPlan')}
      about={look?.name}
      onClose={closeOpening}
      foot={
        <>
          {isReading.value && <WorkDisplay />}
          <button type="button" onClick={closeOpening}>
            {say('common.cancel')}
          </button>
          <button
            type="button"
            class="primary"
            autofocus
            disabled={!look || isReading.value || typeof openingFrame.value === 'string'}
            onClick={() => void finishOpening()}
          >
            {isAgain ? say('opening.goOverPart') : say('opening.planGround')}
          </button>
        </>
      }
    >
      <div class="sheet-body">
        {look && (
          <SiteFields look={look} planned={isAgain ? planned() : { route: [], landing: [] }} />
        )}
        <div class="sheet-column">
          {look && <FileList files={look.files} fileCount={look.fileCount} />}
          {look && <Oddities files={look.files} request={opening.value!.request} />}
          {refused.length > 0 && <Refused refused={refused} />}
          <CodeField refused={refused} />
          <HeightUnit />
        </div>
      </div>
      {!isAgain && isUnsaved.value && (
        <p class="sheet-note">{say('opening.newPlanBeginsGround')}</p>
      )}
      {problem && (
        <p class="sheet-problem" role="alert">
          {problem}
        </p>
      )}
    </ModalSheet>
  )
}

/** Where the plan at hand has something on the ground. */
function planned(): Planned {
  const { launch, route, landing } = setup.value
  return { route: [launch, ...route.waypoints], landing: landing.accepted.map(({ at }) => at) }
}

/** Refusals listed one by one. */
const MOST_REFUSALS = 6

function Refused({ refused }: { refused: readonly Refusal[] }) {
  return (
    <section class="refused">
      <h3>{say('opening.notUsed')}</h3>
      <ul>
        {refused.slice(0, MOST_REFUSALS).map(({ name, sentence }) => (
          <li key={name}>{sentence}</li>
        ))}
      </ul>
      {refused.length > MOST_REFUSALS && (
        <p>{say('opening.more', { refused: refused.length - MOST_REFUSALS })}</p>
      )}
    </section>
  )
}

/** Asks for the system of files that do not name it; one that was said can be said otherwise. */
function CodeField({ refused }: { refused: readonly Refusal[] }) {
  const { epsg: said } = opening.value!.request.assume
  const code = useSignal(said ?? 4326)
  if (said === undefined && refused.every(({ lacks }) => lacks !== 'crs')) return null
  return (
    <div class="fields code-field">
      <NumberField
        label={say('opening.epsgCodeFilesWithout')}
        unit=""
        value={code.value}
        digits={0}
        min={1024}
        max={32767}
        step={1}
        help={say('opening.numberCoordinateSystemPlace')}
        onChange={(epsg) => (code.value = epsg)}
      />
      <button
        type="button"
        disabled={isReading.value}
        onClick={() => void assume({ epsg: code.value })}
      >
        {say('opening.takeSystem')}
      </button>
    </div>
  )
}

function HeightUnit() {
  const { heightUnitM } = opening.value!.request.assume
  return (
    <div class="field field-wide">
      <label for="heights-in">{say('opening.heightsWhereFileDoes')}</label>
      <select
        id="heights-in"
        disabled={isReading.value}
        value={heightUnitM ?? ''}
        onChange={({ currentTarget }) =>
          void assume({
            heightUnitM: currentTarget.value === '' ? undefined : Number(currentTarget.value),
          })
        }
      >
        <option value="">{say('opening.metresIfSystemMetric')}</option>
        {HEIGHT_UNITS.map(([name, metres]) => (
          <option key={name} value={metres}>
            {say(name)}
          </option>
        ))}
      </select>
    </div>
  )
}
