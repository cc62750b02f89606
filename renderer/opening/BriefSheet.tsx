import { useRef } from 'preact/hooks'
import { BRIEF_LIMITS, USUAL_CHECKLIST, type BriefSetup } from '../../core/brief/briefSetup'
import { PAPERS, titleOf, type Paper } from '../../core/brief/words'
import { host } from '../host/host'
import { closeBrief, openBrief, saveBrief, saveBriefPdf, showBrief } from '../state/brief'
import { saved } from '../state/planText'
import { preferences } from '../state/preferences'
import { changeSetup, setup } from '../state/setup'
import { notice } from '../state/work'
import { ModalSheet } from './ModalSheet'

const PAPER_NAMES: Readonly<Record<Paper, string>> = { a4: 'A4', letter: 'Letter' }

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
      title="Field brief"
      about="One document for paper and, as a file, for the phone: it needs no network."
      class="sheet-brief"
      onClose={closeBrief}
      foot={
        <>
          <button type="button" onClick={closeBrief}>
            Close
          </button>
          <button type="button" disabled={!isReady} onClick={() => void saveBrief()}>
            Save for the phone (HTML)…
          </button>
          {host.savePdf && (
            <button type="button" disabled={!isReady} onClick={() => void saveBriefPdf()}>
              Save PDF…
            </button>
          )}
          <button
            type="button"
            class="primary"
            disabled={!isReady}
            title={host.savePdf ? '' : 'The dialog also saves it as PDF'}
            onClick={() => page.current?.contentWindow?.print()}
          >
            {host.savePdf ? 'Print…' : 'Print or PDF…'}
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
          {html === null && problem === null && <p>Being made…</p>}
          {html !== null && (
            <iframe
              ref={page}
              title="The field brief"
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
        <label for="brief-title">Heading</label>
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
        <label for="brief-paper">Paper</label>
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
              {PAPER_NAMES[paper]}
            </option>
          ))}
        </select>
      </div>
      <div class="field field-wide">
        <label for="brief-checklist">Before the flight, one item a line</label>
        <textarea
          id="brief-checklist"
          rows={14}
          value={brief.checklist.join('\n')}
          onChange={({ currentTarget }) => change({ checklist: itemsOf(currentTarget.value) })}
        />
        {!isUsual && (
          <button type="button" class="link" onClick={() => change({ checklist: USUAL_CHECKLIST })}>
            the usual list again
          </button>
        )}
      </div>
      <div class="field field-wide">
        <label for="brief-notes">Notes</label>
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
