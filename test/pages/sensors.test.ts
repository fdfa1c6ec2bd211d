import { describe, expect, it } from "vitest";
import { freshJournal, testServer } from "../support/bench.ts";
import { postForm } from "../support/forms.ts";
import { madeSensors } from "../support/madeSensors.ts";

const devices = {
  hwmon0: { name: "corewatch", temp1_input: "61500", temp1_label: "Package", temp2_input: "43000" },
  hwmon1: { name: "boardwatch", fan1_input: "1210" },
};

describe("/sensors", () => {
  it("lists what this machine shows, with what it reads now, and records nothing at first", async () => {
    const server = await testServer(freshJournal(), { sensorRoot: madeSensors(devices) });
    const { body } = await server.send("GET", "/sensors");
    expect(body).toContain("corewatch: Package");
    expect(body).toContain("now 61.5 °C");
    expect(body).toContain("own sensors are not recorded");
    expect(server.journal.captureSensors.recorded()).toEqual([]);
  });

  it("keeps which sensor is which, and whether they are recorded", async () => {
    const server = await testServer(freshJournal(), { sensorRoot: madeSensors(devices) });
    const choice = {
      recorded: "true",
      "sensor corewatch/temp1": "temperature",
      "sensor corewatch/temp2": "own",
      "sensor boardwatch/fan1": "fan",
    };
    expect((await postForm(server, "/sensors", choice)).status).toBe(303);
    expect(server.journal.captureSensors.recorded()).toEqual([
      { sensor: "boardwatch/fan1", channel: "fan" },
      { sensor: "corewatch/temp1", channel: "temperature" },
      { sensor: "corewatch/temp2", channel: "corewatch temperature 2" },
    ]);
    expect((await server.send("GET", "/sensors")).body).toContain("3 sensors of this machine are recorded");
    const { recorded: _off, ...off } = choice;
    await postForm(server, "/sensors", off);
    expect(server.journal.captureSensors.recorded()).toEqual([]);
    expect(server.journal.captureSensors.chosen()).toHaveLength(3);
  });

  it("refuses two sensors as one channel, and keeps what was chosen", async () => {
    const server = await testServer(freshJournal(), { sensorRoot: madeSensors(devices) });
    const { status, body } = await postForm(server, "/sensors", {
      recorded: "true",
      "sensor corewatch/temp1": "temperature",
      "sensor corewatch/temp2": "temperature",
    });
    expect(status).toBe(422);
    expect(body).toContain("Two sensors are to be the temperature");
    expect(body.match(/<option value="temperature" selected>/g)).toHaveLength(2);
    expect(server.journal.captureSensors.chosen()).toEqual([]);
  });

  it("asks for a sensor where recording is turned on without one", async () => {
    const server = await testServer(freshJournal(), { sensorRoot: madeSensors(devices) });
    const { status, body } = await postForm(server, "/sensors", { recorded: "true" });
    expect([status, body.includes("Choose at least one sensor to record.")]).toEqual([422, true]);
  });

  it("says so where the machine shows none", async () => {
    const server = await testServer(freshJournal(), { sensorRoot: "/nowhere" });
    expect((await server.send("GET", "/sensors")).body).toContain("This machine shows no sensors");
  });
});
