// A worker that was started here by mistake would show nothing.
if (process.arch !== "arm64") throw new Error(`this is not arm64 but ${process.arch}`);
