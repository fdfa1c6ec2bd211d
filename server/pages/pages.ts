import fastifyFormbody from "@fastify/formbody";
import type { FastifyInstance } from "fastify";
import { registerAttempt } from "./attempt/routes.ts";
import { registerBench } from "./bench/routes.ts";
import { registerBuildPages } from "./build/routes.tsx";
import { registerBuildForms } from "./buildForm/routes.tsx";
import { registerBuildsPage } from "./builds/routes.tsx";
import { registerCautionsPage } from "./cautions/routes.tsx";
import { registerChangesPage } from "./changes/routes.tsx";
import { registerComparePage } from "./compare/routes.tsx";
import { registerHeatPages } from "./heat/routes.tsx";
import { registerImportPages } from "./importing/routes.tsx";
import { registerJournalPages } from "./journal/routes.tsx";
import type { PageContext } from "./kit/context.ts";
import { registerMountPages } from "./mounts/routes.tsx";
import { registerNoisePages } from "./noise/routes.tsx";
import { registerPartsPages } from "./parts/routes.tsx";
import { registerPicturePages } from "./pictures/routes.tsx";
import { registerPowerPage } from "./power/routes.tsx";
import { registerSensorsPage } from "./sensors/routes.tsx";
import { registerSettingNote } from "./settingNote/routes.tsx";
import { registerWriteUp } from "./writeUp/routes.tsx";

/** Every page a person can visit; one line each. */
export async function registerPages(app: FastifyInstance, context: PageContext): Promise<void> {
  await app.register(fastifyFormbody);
  registerBench(app, context);
  registerAttempt(app, context);
  registerBuildsPage(app, context);
  registerBuildPages(app, context);
  registerComparePage(app, context);
  registerPartsPages(app, context);
  registerBuildForms(app, context);
  registerMountPages(app, context);
  registerWriteUp(app, context);
  registerPicturePages(app, context);
  registerCautionsPage(app, context);
  await registerHeatPages(app, context);
  registerSensorsPage(app, context);
  await registerJournalPages(app, context);
  await registerImportPages(app, context);
  registerNoisePages(app, context);
  registerPowerPage(app, context);
  registerChangesPage(app, context);
  registerSettingNote(app, context);
}
