import type { CautionSource } from "../station/model/caution.js";

/** The day an entry was looked at, where it does not name a later one of its own. */
const FIRST_LOOK = "2026-11-25";
const read = (title: string, reviewed = FIRST_LOOK): CautionSource => ({
  title,
  reviewed,
  fromMemory: false,
});
const recalled = (title: string, reviewed = FIRST_LOOK): CautionSource => ({
  title,
  reviewed,
  fromMemory: true,
});

/**
 * The published documents that the cautions rest on, each once. Public bodies and universities only, no makers.
 *
 * `read` entries were looked at on the day of `reviewed`, in a stored copy that holds the page or, of a long document, its
 * beginning; `recalled` ones are from memory and have to be checked against the document, in its current edition, by
 * whoever relies on them. A web page without a date of its own says so in its title.
 */

export const SOURCES = {
  wisconsin: read(
    "University of Wisconsin–Madison, Environment, Health & Safety, Laser Cutter Safety (web page, undated): ehs.wisc.edu/laser-cutter-safety",
  ),
  massachusetts: read(
    "University of Massachusetts Amherst, Environmental Health & Safety, Laser Cutters SOP (web page, undated): ehs.umass.edu/laser-cutters-sop",
  ),
  texas: read(
    "University of Texas at Austin, School of Architecture, Prohibited Laser Cutter Materials (wiki page, undated): wikis.utexas.edu/display/SOAdigitech",
  ),
  carnegieMellon: read(
    "Carnegie Mellon University, IDeATe, Laser policy (course page, spring 2017): courses.ideate.cmu.edu/62-478/s2017/laser/policy",
  ),
  maryland: read(
    "University of Maryland, UMIACS, Laser Safety Concerns (draft wiki page, 31 October 2019): wiki.umiacs.umd.edu/sandbox",
  ),
  iowaState: read(
    "Iowa State University, College of Design, Laser Cutter Safety Procedures (web page, undated): www.design.iastate.edu",
  ),
  artsLondon: read(
    "University of the Arts London, Creative Computing Institute, Safety: laser cutter (wiki page, undated): wiki.cci.arts.ac.uk/books/facilities/page/safety",
  ),
  virginia: read("University of Virginia, FabLab, Laser Safety (web page, undated): uva-fablab.notion.site"),
  toronto: read(
    "University of Toronto, Environmental Health & Safety, Closed Beam & Low Classes Laser Safety (web page, undated): ehs.utoronto.ca",
  ),
  pennsylvania: read(
    "University of Pennsylvania, EHRS, Laser Safety Manual, section XV, Enclosing Beam Path to Convert Laser or Laser System to Class 1 (web page, undated; cites ANSI Z136.1-2000)",
  ),
  oregonState: read(
    "Oregon State University, Environmental Health & Safety, Non-Beam Laser Hazards (web page, undated): ehs.oregonstate.edu",
  ),
  reed: read(
    "Reed College, Environmental Health & Safety, Laser Safety, chapter 7, Associated Laser System Hazards (web page, undated): www.reed.edu/ehs",
  ),
  isopropylNiosh: read(
    "NIOSH, 1988 OSHA PEL Project documentation, Isopropyl alcohol, CAS 67-63-0 (extract of 54 FR 2332, 1989): www.cdc.gov/niosh/pel88/67-63.html",
  ),
  isopropylNewJersey: read(
    "New Jersey Department of Health, Hazardous Substance Fact Sheet, Isopropyl Alcohol, revision of February 2016",
  ),
  wis23: read(
    "HSE WIS23 (rev. 3), Wood dust: controlling the risks (undated; page of August 2022): hse.gov.uk/pubns/wis23.htm",
  ),
  woodDustIarc: read(
    "IARC Monographs, volume 62, Wood Dust and Formaldehyde, 1995 (summary): ncbi.nlm.nih.gov/books/NBK493455",
  ),
  formaldehydeOsha: read(
    "US 29 CFR 1910.1048, Formaldehyde, paragraph (c) (as amended to 2013): ecfr.io/Title-29/Section-1910.1048",
    "2026-11-27",
  ),
  methacrylateOsha: read(
    "OSHA, Chemical Sampling Information, Methyl Methacrylate, CAS 80-62-6 (archived copy of November 2008)",
    "2026-11-27",
  ),
  hydrogenChlorideOsha: read(
    "OSHA, Chemical Sampling Information, Hydrogen Chloride, CAS 7647-01-0 (web page, undated)",
    "2026-11-27",
  ),
  carbonMonoxideNiosh: read(
    "NIOSH, Criteria for a Recommended Standard: Occupational Exposure to Carbon Monoxide, 1972 (abstract): stacks.cdc.gov/view/cdc/19324",
    "2026-11-27",
  ),
  hydrogenCyanideNrc: read(
    "National Research Council, review of acute exposure limits for combustion products, page 10, about 2008 (gives the NIOSH limit of 2005): nap.edu, record 12040",
    "2026-11-27",
  ),

  formaldehydeIarc: recalled(
    "IARC Monographs, volume 100F, Chemical Agents and Related Occupations, 2012: formaldehyde, Group 1",
  ),
  eh40: recalled("HSE EH40/2005, Workplace exposure limits, 4th ed. 2020"),
  hsg258: recalled(
    "HSE HSG258, Controlling airborne contaminants at work: a guide to local exhaust ventilation, 3rd ed. 2017",
  ),
  hydrogenChlorideNiosh: recalled(
    "NIOSH Pocket Guide to Chemical Hazards, DHHS (NIOSH) 2005-149, 2007: hydrogen chloride",
  ),
  methacrylateNiosh: recalled(
    "NIOSH Pocket Guide to Chemical Hazards, DHHS (NIOSH) 2005-149, 2007: methyl methacrylate",
  ),
  seleniumNiosh: recalled(
    "NIOSH Pocket Guide to Chemical Hazards, DHHS (NIOSH) 2005-149, 2007: selenium compounds",
  ),
  chromiumEu: recalled(
    "Commission Regulation (EU) No 301/2014, chromium VI compounds in leather articles, 2014",
  ),
  treatedEpa: recalled(
    "US EPA, Chromated copper arsenate (CCA): never burn treated wood (consumer guidance, about 2003)",
  ),
  osha: recalled(
    "OSHA Technical Manual, section III, chapter 6, Laser Hazards (directive TED 01-00-015, 1999)",
  ),
  iec60825: recalled(
    "IEC 60825-1:2014, Safety of laser products, Part 1: Equipment classification and requirements, ed. 3",
  ),
  iso12100: recalled("ISO 12100:2010, Safety of machinery, clause 6.4, Information for use"),
  formaldehydeEu: recalled(
    "Directive (EU) 2019/983, amending 2004/37/EC on carcinogens or mutagens at work, 2019: formaldehyde",
  ),
  fireWatchOsha: recalled(
    "OSHA 29 CFR 1910.252(a)(2)(iii)(B), Welding, cutting and brazing (1974, as amended): fire watch of at least half an hour",
  ),
  nfpa10: recalled("NFPA 10, Standard for Portable Fire Extinguishers, 2022 ed."),
  nfpa51b: recalled(
    "NFPA 51B, Standard for Fire Prevention During Welding, Cutting, and Other Hot Work, 2019 ed.: fire watch of an hour after the work",
  ),
  hsg85: recalled("HSE HSG85, Electricity at work: safe working practices, 3rd ed. 2013"),
  wmo8: recalled(
    "WMO-No. 8, Guide to Instruments and Methods of Observation, 2018 ed.: definition of the dew point",
  ),
} as const satisfies Record<string, CautionSource>;
