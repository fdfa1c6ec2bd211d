export const id = (n: number) => `0197f000-0000-7000-8000-${String(n).padStart(12, "0")}`;
export const now = "2031-05-05T12:00:00.000Z";
/** The loads and builds that a file may name. */
export const known = {
  workloads: new Map([
    ["stacking", id(1)],
    ["light, by hand", id(2)],
  ]),
  builds: new Map([["shelf", id(9)]]),
  buildId: id(8),
};

/** A file with one line that says something in every field. */
export const everyField = [
  "startedAt,workload,clockMhz,voltageMv,outcome,plannedS,durationS,failedFromS,failedToS,ambientC,loadTempC,peakTempC,startTempC,supplyTempC,loadVoltageMv,voltageReadAt,loadLine,currentA,powerW,powerAt,fanRpm,fanMode,startKind,clockMode,tags,note,throttled,score,correctedErrors,temps [°C],knobs,alsoSet",
  '2031-05-04T12:00:00Z,stacking,4600,1200,freeze,1200,400,300,390,21.5,61,66,31,58,1120,chip,level 3,80,140,wall,1200,quiet,cold,fixed,a; b,words,no,12.5,2,"{""hotspot"":70}","{""cl"":30}","[{""name"":""x"",""value"":1,""harder"":""up""}]"',
].join("\n");
