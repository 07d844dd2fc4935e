/** Whom to call, and what to tell them: the owner fills it in, the station knows none of it. */
export interface EmergencyFacts {
  readonly fire?: string | undefined;
  readonly ambulance?: string | undefined;
  readonly poison?: string | undefined;
  /** Who is nearest and can help. */
  readonly person?: string | undefined;
  /** Where the shop is, as it is told to those who come. */
  readonly address?: string | undefined;
  readonly meeting?: string | undefined;
}

/** In the order in which they are shown; `most` characters. */
export const EMERGENCY_FIELDS = [
  { key: "fire", label: "Fire service", most: 40 },
  { key: "ambulance", label: "Ambulance", most: 40 },
  { key: "poison", label: "Poison centre", most: 40 },
  { key: "person", label: "Nearest person who can help", most: 80 },
  { key: "address", label: "This address, as you tell it", most: 200 },
  { key: "meeting", label: "Where all meet outside", most: 120 },
] as const satisfies readonly { key: keyof EmergencyFacts; label: string; most: number }[];
