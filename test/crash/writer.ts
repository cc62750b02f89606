import { FolderStore } from '../../electron/node/folderStore'

/** Writes ever newer texts under one name until it is killed, and says which are written. */
const store = new FolderStore(process.argv[2])
const filling = 'x'.repeat(200_000)
for (let number = Number(process.argv[3]); ; number++) {
  await store.write('draft-one', JSON.stringify({ number, filling }))
  process.stdout.write(`${number}\n`)
}
