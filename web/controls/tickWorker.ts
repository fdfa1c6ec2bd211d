setInterval(() => postMessage(null), 1000);
