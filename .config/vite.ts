import preact from "@preact/preset-vite";
import { defineConfig } from "vite";

export default defineConfig({
  root: "ui",
  plugins: [preact()],
  build: { outDir: "../.build/ui", emptyOutDir: true, sourcemap: true, target: "es2022" },
});
