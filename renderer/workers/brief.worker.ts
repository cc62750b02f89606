import { briefHtml } from '../../core/brief/briefHtml'
import type { BriefTask } from '../../core/brief/fieldBrief'
import type { BriefWords } from '../../core/brief/words'
import type { Site } from '../../core/surface/site'
import { GridLocator } from '../../core/terrain/grid'
import { errorsAsData, type Outcome } from './outcome'
import { exposeSpeaking } from './threadLanguage'

/** A brief's task as it crosses to the worker: locators stay on their side. */
export interface BriefRequest extends Omit<BriefTask, 'site'> {
  readonly site: Omit<Site, 'locator'>
}

const api = {
  /** The field brief as one HTML text. */
  brief({ site, ...task }: BriefRequest, words: BriefWords): Promise<Outcome<string>> {
    const locator = new GridLocator(site.terrain)
    return errorsAsData(() =>
      Promise.resolve().then(() => briefHtml({ ...task, site: { ...site, locator } }, words)),
    )
  },
}

export type BriefWorker = typeof api
exposeSpeaking(api)
