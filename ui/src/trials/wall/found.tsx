/** How a search stands for each lot, in the station's sentences. */
export function Found({ sentences }: { sentences: readonly string[] }) {
  if (sentences.length === 0) return null;
  return (
    <section class="card" aria-labelledby="found-title" data-testid="found">
      <h2 id="found-title">How the search stands</h2>
      <ul class="sentences">
        {sentences.map((each) => (
          <li key={each}>{each}</li>
        ))}
      </ul>
    </section>
  );
}
