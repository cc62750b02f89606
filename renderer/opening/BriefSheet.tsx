import { useRef } from 'preact/hooks'
import { BRIEF_LIMITS, USUAL_CHECKLIST, type BriefSetup } from '../../core/brief/briefSetup'
import { PAPERS, titleOf, type Paper } from '../../core/brief/words'
import { host } from '../host/host'
import { closeBrief, openBrief, saveBrief, saveBriefPdf, showBrief } from '../state/brief'
import { saved } from '../state/planText'
import { preferences } from '../state/preferences'
import { changeSetup, setup } from '../state/setup'
import { notice } from '../state/work'
import { say, type TextKey } from '../../core/words/say'
import { spokenName } from '../../core/words/typicalNames'
import { ModalSheet } from './ModalSheet'

const PAPER_NAMES: Readonly<Record<Paper, TextKey>> = { a4: 'brief.a4', letter: 'brief.letter' }

/** The field brief as it will be on paper, and what the pilot adds to it. */
export function BriefSheet() {
  return openBrief.value && <Sheet />
}

function Sheet() {
  const { html, problem, isStale } = openBrief.value!
  const page = useRef<HTMLIFrameElement>(null)
  const isReady = html !== null && !isStale
  return (
    <ModalSheet
      title={say('common.fieldBrief')}
      about={say('brief.oneDocumentPaperFile')}
      class="sheet-brief"
      onClose={closeBrief}
      foot={
        <>
          <button type="button" onClick={closeBrief}>
            {say('common.close')}
          </button>
          <button type="button" disabled={!isReady} onClick={() => void saveBrief()}>
            {say('brief.savePhoneHtml')}
          </button>
          {host.savePdf && (
            <button type="button" disabled={!isReady} onClick={() => void saveBriefPdf()}>
              {say('brief.savePdf')}
            </button>
          )}
          <button
            type="button"
            class="primary"
            disabled={!isReady}
            title={host.savePdf ? '' : say('brief.dialogAlsoSavesPdf')}
            onClick={() => page.current?.contentWindow?.print()}
          >
            {host.savePdf ? say('brief.print') : say('brief.printPdf')}
          </button>
        </>
      }
    >
      <div class="sheet-body brief-body">
        <div class="sheet-column">
          <Additions />
        </div>
        <div class="sheet-column brief-view" aria-busy={isStale}>
          {problem !== null && <p class="sheet-problem">{problem}</p>}
          {html === null && problem === null && <p>{say('brief.beingMade')}</p>}
          {html !== null && (
            <iframe
              ref={page}
              title={say('brief.fieldBrief')}
              // It runs nothing; the window prints it.
              sandbox="allow-same-origin allow-modals"
              srcDoc={html}
            />
          )}
        </div>
      </div>
      {notice.value && <p class="sheet-problem">{notice.value}</p>}
    </ModalSheet>
  )
}

/** What the pilot adds: heading, checklist, notes, paper. Part of the plan, except the paper. */
function Additions() {
  const { brief } = setup.value
  const change = (part: Partial<BriefSetup>) => {
    changeSetup({ brief: { ...brief, ...part } })
    void showBrief()
  }
  const isUsual = brief.checklist.join('\n') === USUAL_CHECKLIST.join('\n')
  return (
    <>
      <div class="field field-wide">
        <label for="brief-title">{say('brief.heading')}</label>
        <input
          id="brief-title"
          type="text"
          maxLength={BRIEF_LIMITS.titleLength}
          placeholder={titleOf({ brief: { ...brief, title: '' } }, saved.value?.name ?? '')}
          value={brief.title}
          onChange={({ currentTarget }) => change({ title: currentTarget.value.trim() })}
        />
      </div>
      <div class="field field-wide">
        <label for="brief-paper">{say('brief.paper')}</label>
        <select
          id="brief-paper"
          value={preferences.value.paper}
          onChange={({ currentTarget }) => {
            const paper = PAPERS.find((one) => one === currentTarget.value)
            if (paper) preferences.value = { ...preferences.value, paper }
            void showBrief()
          }}
        >
          {PAPERS.map((paper) => (
            <option key={paper} value={paper}>
              {say(PAPER_NAMES[paper])}
            </option>
          ))}
        </select>
      </div>
      <div class="field field-wide">
        <label for="brief-checklist">{say('brief.beforeFlightOneItem')}</label>
        <textarea
          id="brief-checklist"
          rows={14}
          value={brief.checklist.map(spokenName).join('\n')}
          onChange={({ currentTarget }) => change({ checklist: itemsOf(currentTarget.value) })}
        />
        {!isUsual && (
          <button type="button" class="link" onClick={() => change({ checklist: USUAL_CHECKLIST })}>
            {say('brief.usualListAgain')}
          </button>
        )}
      </div>
      <div class="field field-wide">
        <label for="brief-notes">{say('common.notes')}</label>
        <textarea
          id="brief-notes"
          rows={5}
          maxLength={BRIEF_LIMITS.notesLength}
          value={brief.notes}
          onChange={({ currentTarget }) => change({ notes: currentTarget.value.trimEnd() })}
        />
      </div>
    </>
  )
}

/** Lines with words on them, no more and no longer than a plan keeps. */
function itemsOf(text: string): string[] {
  return text
    .split('\n')
    .map((line) => line.trim().slice(0, BRIEF_LIMITS.itemLength))
    .filter((line) => line !== '')
    .slice(0, BRIEF_LIMITS.items)
}
