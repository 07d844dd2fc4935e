/**
 * What the first station.yaml begins with: the head of firmware-notes/station.example.yaml, as far as somebody without it
 * wants it. Name and range are put in by the first change; a test holds the lines against the example.
 */
export const FIRST_CONFIG = `# A station with real sensors, begun on the page Set up. More settings: firmware-notes/station.example.yaml
station:
  name: Workshop station

web:
  host: 127.0.0.1 # 0.0.0.0 lets the workshop's network in once a passphrase is set on the page Access
  port: 8080

# From the tube maker's manual, in degrees Celsius.
coolant_range: { low: 15, high: 22 }
`;
