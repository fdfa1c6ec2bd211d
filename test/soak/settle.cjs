"use strict";
// Loaded before the program that is soaked, in each of its threads: asked to settle, every thread lets go of what nobody
// holds any more and says what it holds; then the process says what memory of its own is left to it.
const { readFileSync } = require("node:fs");
const { isMainThread, threadId } = require("node:worker_threads");

/** A thread that reckons answers when it is done with that. */
const longestWaitMs = 30_000;
const threads = new BroadcastChannel("settle");
threads.unref();
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

/** Private pages in bytes where the kernel says (RssAnon, proc(5)): what files are mapped is not counted. */
function ownBytes() {
  try {
    const [, kib] = /^RssAnon:\s+(\d+) kB/m.exec(readFileSync("/proc/self/status", "utf8"));
    return Number(kib) * 1024;
  } catch {
    return process.memoryUsage().rss;
  }
}

function heldBytes() {
  for (let round = 0; round < 3; round++) globalThis.gc();
  const { heapUsed, external } = process.memoryUsage();
  return heapUsed + external;
}

function listenAsMain() {
  const held = new Map();
  threads.onmessage = ({ data }) => held.set(data.thread, data.heldBytes);
  process.on("message", async () => {
    const before = [...held.keys()];
    held.clear();
    threads.postMessage("settle");
    const own = heldBytes();
    for (let waited = 0; waited < longestWaitMs && !before.every((one) => held.has(one)); waited += 100)
      await pause(100);
    for (const one of before) if (!held.has(one)) held.set(one, 0);
    await pause(500);
    const all = [...held.values()].reduce((sum, bytes) => sum + bytes, own);
    process.send({ ownBytes: ownBytes(), heldBytes: all });
  });
}

function listenAsOther() {
  threads.onmessage = ({ data }) => {
    if (data === "settle") threads.postMessage({ thread: threadId, heldBytes: heldBytes() });
  };
  threads.postMessage({ thread: threadId, heldBytes: 0 });
}

if (isMainThread) listenAsMain();
else listenAsOther();
