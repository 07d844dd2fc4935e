import { Component, type ComponentChildren } from "preact";

/** A page that fell over says so and offers the way out: a blank wall screen would tell nobody anything. */
export class BrokenPage extends Component<{ children: ComponentChildren }, { broken: boolean }> {
  override state = { broken: false };

  override componentDidCatch(): void {
    this.setState({ broken: true });
  }

  override render() {
    if (!this.state.broken) return this.props.children;
    return (
      <div class="broken" role="alert">
        <h1>This page made a mistake</h1>
        <p>The station goes on without it: alarms are still watched and runs are still kept.</p>
        <button type="button" class="button button-main" onClick={() => location.reload()}>
          Load the page again
        </button>
      </div>
    );
  }
}
