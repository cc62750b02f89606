import { parentPort } from 'node:worker_threads'
import { expose } from 'comlink'
import nodeEndpoint from 'comlink/dist/esm/node-adapter.mjs'
import { SweepThread } from '../../core/coverage/sweepThread'

if (!parentPort) throw new Error('this file is run as a worker')
expose(new SweepThread(), nodeEndpoint(parentPort))
