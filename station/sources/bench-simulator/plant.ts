/** The bench's own figures. All are the size of a small shop's machine: common practice, no source. */
export interface Plant {
  /** Water in the chiller's tank and in the laser tube's jacket with its hoses, litres. */
  readonly tankL: number;
  readonly tubeL: number;
  /** Flow with the pump running, L/min, and how fast it comes and goes, s. */
  readonly flowLMin: number;
  readonly flowLagS: number;
  /** Heat the pump gives the water, W. */
  readonly pumpW: number;
  /** Heat the laser gives the water while it is on, W. A 60 W tube at 12 % efficiency draws 500 W; most of the rest heats the water. */
  readonly laserW: number;
  /** Heat exchange with the room for each degree of difference, W/K: tank and hoses, and tube jacket. */
  readonly tankRoomWK: number;
  readonly tubeRoomWK: number;
  /** Heat between tank and tube with the water standing still, W/K. */
  readonly standingWK: number;
  /** The chiller: what it takes out while on, W; where it switches, °C; and how long it stays as it is, s. */
  readonly chillerW: number;
  readonly chillerOnC: number;
  readonly chillerOffC: number;
  readonly chillerMinOnS: number;
  readonly chillerMinOffS: number;
  /** The chiller's frost heater, which the fault "coolant runs away" leaves on, W. */
  readonly frostHeaterW: number;
  /** Where the flow switch closes and opens, L/min. */
  readonly flowClosesLMin: number;
  readonly flowOpensLMin: number;
  /** The fan: full speed, 1/min; lags of first order, s. */
  readonly fanRpm: number;
  readonly fanUpS: number;
  readonly fanDownS: number;
  /** Air speed in the duct at full speed with a new filter, m/s. */
  readonly airMs: number;
  /** Where the air-flow switch closes and opens, m/s. */
  readonly airClosesMs: number;
  readonly airOpensMs: number;
  /** Hours of cutting after which the filter would let nothing through, were it left so long; and where it stops loading. */
  readonly filterHours: number;
  readonly filterMost: number;
  /** The room: swing of the day and standard deviation and memory of the drift about it, K, K, s. */
  readonly roomSwingK: number;
  readonly roomDriftK: number;
  readonly roomDriftS: number;
  /** Drift of the air's moisture as a share of its mean, and its memory, s. */
  readonly moistureDrift: number;
  readonly moistureDriftS: number;
}

export const BENCH_PLANT: Plant = {
  tankL: 8,
  tubeL: 0.6,
  flowLMin: 3,
  flowLagS: 0.8,
  pumpW: 25,
  laserW: 400,
  tankRoomWK: 6,
  tubeRoomWK: 1,
  standingWK: 1,
  chillerW: 700,
  chillerOnC: 18.5,
  chillerOffC: 17.5,
  chillerMinOnS: 30,
  chillerMinOffS: 60,
  frostHeaterW: 500,
  flowClosesLMin: 1.5,
  flowOpensLMin: 1.2,
  fanRpm: 2600,
  fanUpS: 2,
  fanDownS: 4,
  airMs: 12,
  airClosesMs: 5,
  airOpensMs: 4,
  filterHours: 100,
  filterMost: 0.5,
  roomSwingK: 1.5,
  roomDriftK: 0.3,
  roomDriftS: 3600,
  moistureDrift: 0.03,
  moistureDriftS: 7200,
};
