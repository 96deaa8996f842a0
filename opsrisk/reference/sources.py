"""Every document that the tool cites, once.

`address` is where the text was read. A document that was only seen through somebody who quotes it
is still cited by its own title; the number that relies on it says so in its note.
"""

from opsrisk.reference.value import Source

US_GOVERNMENT = "public domain (work of the United States government)"
US_GOVERNMENT_OF_A_STATE = "state government publication, cited for single facts"
CITED = "cited for single facts"

# Lines and vehicles in a current

ROV_HANDBOOK = Source(
    title="The ROV Manual: A User Guide for Remotely Operated Vehicles",
    author="Christ and Wernli",
    year=2014,
    edition="2nd edition",
    licence=CITED,
    address="https://online.flipbuilder.com/xrrt/kmhf/files/basic-html/page96.html",
)
VEHICLE_DRAG_PAGE = Source(
    title="Drag",
    author="ROV committee of the Marine Technology Society",
    licence=CITED,
    address="http://www.rov.org/educational/pages/Drag.html",
)
ARMORED_TOWCABLES = Source(
    title="Hydrodynamic Loading on Armored Towcables",
    licence=US_GOVERNMENT,
    address="https://paperexplained.cn/articles/paper/detail/7c1011a0b4b68a984644c0f5f67f17489952c5ad",
)
CABLE_DRAG_SURVEY = Source(
    title="Survey of available data on the normal drag coefficient of cables subjected to cross-flow",
    author="Dalton, Civil Engineering Laboratory",
    year=1977,
    edition="CR 78.001",
    licence=US_GOVERNMENT,
    address="https://fr.scribd.com/document/400691324/drag-coefficent-of-cables-and-ropes-pdf",
)
VEHICLE_TETHER_TRIALS = Source(
    title="Measurement and Analysis of Hydrodynamics of ROV's Tether Cable", author="Kojima and others", licence=CITED
)
FLUID_DRAG = Source(title="Fluid-Dynamic Drag", author="Hoerner", year=1965, licence=CITED)

# Divers in a current

SWIM_TRIALS = Source(
    title="Oxygen Consumption in Underwater Swimming",
    author="Dwyer and Lanphier, United States Navy",
    edition="AD0893954",
    licence=US_GOVERNMENT,
    address="https://lboro-test-vufind.koha-ptfs.co.uk/PrimoRecord/cdi_dtic_stinet_AD0893954",
)
FIN_ENERGETICS = Source(
    title="Energetics of underwater swimming with SCUBA",
    author="Pendergast and others, European Journal of Applied Physiology 90, 377-386",
    year=2003,
    licence=CITED,
)
DIVER_WIND_TUNNEL = Source(
    title="Drag levels and energy requirements on a SCUBA diver",
    author="Passmore and Rickers",
    licence=CITED,
    address="https://vdocuments.site/download/drag-levels-and-energy-requirements-on-a-scuba-diver",
)
UPRIGHT_PERSON_PAGE = Source(
    title="Calculation of drag force on a wintry day (figures after an encyclopedia)",
    year=2008,
    licence=CITED,
    address="http://idahospuds.blogspot.com/2008/02/scitech-calculation-of-drag-force-on.html",
)
DIVER_DRAG_CHAPTER = Source(
    title="Drag of divers (book chapter)",
    edition="10.1201/b21361-9",
    licence=CITED,
    address="https://www.taylorfrancis.com/books/9781482297751/chapters/10.1201/b21361-9",
)
DIVER_PULL_TABLE = Source(
    title="Force on a diver by speed and posture (a discussion, not reviewed)",
    year=2001,
    licence=CITED,
    address="http://diver.net/bbs/messages2/17024.shtml",
)
NAVY_MANUAL_2001 = Source(
    title="U.S. Navy Diving Manual",
    author="Naval Sea Systems Command",
    year=2001,
    edition="Revision 4, Change A",
    licence=US_GOVERNMENT,
    address="https://navydiving.tpub.com/NavyDiving/css/Dive_Man_ChangeA_143.htm",
)
COMMERCIAL_DIVING_RULE = Source(
    title="29 CFR 1910 Subpart T, Commercial Diving Operations",
    author="Occupational Safety and Health Administration",
    licence=US_GOVERNMENT,
    address="https://www.ecfr.gov/current/title-29/subtitle-B/chapter-XVII/part-1910/subpart-T",
)
PUBLIC_SAFETY_DIVING_RULE = Source(
    title="12-179 Code of Maine Rules chapter 5, public safety diving",
    author="Maine Board of Occupational Safety and Health",
    licence=US_GOVERNMENT_OF_A_STATE,
    address="https://regulations.justia.com/states/maine/12/179/chapter-5/section-179-5-x",
)

# Water and air

SEAWATER_ALGORITHMS = Source(
    title="Algorithms for computation of fundamental properties of seawater",
    author="Fofonoff and Millard, UNESCO",
    year=1983,
    edition="Technical Papers in Marine Science 44",
    licence=CITED,
)
SOUND_SPEED_SHORT = Source(
    title="Speed of sound in water: a simple equation for realistic parameters",
    author="Medwin, Journal of the Acoustical Society of America 58, 1318",
    year=1975,
    licence=CITED,
)
STANDARD_ATMOSPHERE = Source(
    title="Standard Atmosphere", author="International Organization for Standardization", year=1975, edition="ISO 2533"
)
SI_BROCHURE = Source(
    title="The International System of Units",
    author="Bureau international des poids et mesures",
    year=2019,
    edition="9th edition",
    licence="CC BY 4.0",
)

# Moving water and time

HARMONIC_MANUAL = Source(
    title="Manual of Harmonic Analysis and Prediction of Tides",
    author="Schureman, Coast and Geodetic Survey",
    year=1958,
    edition="Special Publication 98",
    licence=US_GOVERNMENT,
)
YEARLY_TIDE_FILE = Source(
    title="Tide database with yearly equilibrium arguments and node factors",
    author="Flater",
    year=2019,
    edition="Debian package xtide-data 20191229",
    licence="public domain",
)
STATION_CONSTANTS = Source(
    title="Harmonic constituents of current stations",
    author="National Oceanic and Atmospheric Administration, by way of the npm package @neaps/tide-database",
    year=2026,
    licence="public domain, as the licence field of each station says",
    address="https://tidesandcurrents.noaa.gov/disclaimers.html",
)
ASTRONOMICAL_ALGORITHMS = Source(title="Astronomical Algorithms", author="Meeus", year=1998, edition="2nd edition")
NAVIGATION_TRAINING = Source(
    title="Quartermaster training manual, current calculations",
    author="United States Navy",
    edition="NAVEDTRA 14220, page 7-22",
    licence=US_GOVERNMENT,
    address="https://navyadministration.tpub.com/14220/css/Current-Calculations-Continued-202.htm",
)
CURRENT_RULES = Source(
    title="Rules of thumb for tides: 50/90, thirds and twelfths",
    licence=CITED,
    address="https://nauticalcharts.com/rules-of-thumb-for-tides-5090-thirds-twelfths",
)
CURRENT_TABLES = Source(
    title="Tidal Current Tables", author="National Ocean Service", edition="table 4", licence=US_GOVERNMENT
)
FLOAT_CALCULATOR = Source(
    title="Stream discharge by the float method", licence=CITED, address="https://waycalculator.com"
)
STREAMFLOW_MEASUREMENT = Source(
    title="Streamflow Measurement",
    author="Herschy",
    edition="3rd edition",
    licence=CITED,
    address="https://www.taylorfrancis.com",
)
OPEN_CHANNEL_STANDARD = Source(
    title="Hydrometry: measurement of liquid flow in open channels, velocity-area methods",
    author="International Organization for Standardization",
    edition="ISO 748",
)

# People in water and weather

SUBMERSION_GUIDE = Source(
    title="A proposed decision-making guide for the search, rescue and resuscitation of submersion victims",
    author="Tipton and Golden, Resuscitation 82(7), 819-824",
    year=2011,
    licence=CITED,
    address="https://err.ersjournals.com",
)
SUBMERSION_DISSENT = Source(
    title="Predicting outcome of drowning at the scene",
    author="Quan and others",
    year=2014,
    licence=CITED,
    address="https://discovery.researcher.life",
)
DROWNING_REVIEW = Source(
    title="Drowning", author="Szpilman and others, New England Journal of Medicine 366, 2102-2110", year=2012
)
WIND_CHILL_CHART = Source(
    title="Wind chill chart",
    author="National Weather Service",
    year=2001,
    licence=US_GOVERNMENT,
    address="http://home1.gte.net/res09v44/windchill.htm",
)
WIND_CHILL_METRIC = Source(title="Wind chill, metric form", licence=CITED, address="https://apollo.nvu.vsc.edu")
HEAT_INDEX_EQUATION = Source(
    title="The Heat Index Equation",
    author="Rothfusz, National Weather Service",
    year=1990,
    edition="SR 90-23",
    licence=US_GOVERNMENT,
)
LIGHTNING_RULE = Source(
    title="Lightning safety",
    author="Extreme weather, University of Nebraska-Lincoln",
    licence=CITED,
    address="https://extremeweather.unl.edu/lightning/safety.asp",
)
NO_STOP_TABLES = Source(
    title="U.S. Navy Diving Manual, tables 9-5 to 9-8, as transcribed by third parties",
    author="Naval Sea Systems Command",
    year=2016,
    edition="Revision 7",
    licence=US_GOVERNMENT,
)

# Sonar

ABSORPTION_SHORT = Source(
    title="A simplified formula for viscous and chemical absorption in sea water",
    author="Ainslie and McColm, Journal of the Acoustical Society of America 103, 1671-1672",
    year=1998,
    licence=CITED,
)
ABSORPTION_FULL = Source(
    title="Sound absorption based on ocean measurements, parts I and II",
    author="Francois and Garrison, Journal of the Acoustical Society of America 72, 896-907 and 1879-1890",
    year=1982,
    licence=CITED,
)
COMMON_PRACTICE = Source(
    title="Common practice of public-safety dive teams", author="no published source; trade knowledge", licence=CITED
)

# Search effort

SEARCH_AND_SCREENING = Source(
    title="Search and Screening", author="Koopman, United States Navy", year=1946, edition="OEG Report 56",
    licence=US_GOVERNMENT,
)  # fmt: skip
SEARCH_THEORY_PAGE = Source(title="Search theory", licence=CITED, address="https://sarbayes.org/search-theory")
SEARCH_DEFINITIONS = Source(
    title="Search and rescue definitions", licence=CITED, address="https://sarinfo.bc.ca/SARDefinitions.htm"
)

# Breathing gas

AIR_EQUATION = Source(
    title="Thermodynamic Properties of Air, as computed by CoolProp 8.0.0",
    author="Lemmon and others, Journal of Physical and Chemical Reference Data 29, 331 (program: Bell and others)",
    year=2000,
    licence="program MIT; computed values",
)
NAVY_MANUAL_2001_AIR = Source(
    title="U.S. Navy Diving Manual, surface-supplied air requirements",
    author="Naval Sea Systems Command",
    year=2001,
    edition="Revision 4, Change A, chapter 8",
    licence=US_GOVERNMENT,
    address="https://navydiving.tpub.com/NavyDiving/css/Dive_Man_ChangeA_205.htm",
)
NAVY_MANUAL_2001_SCUBA = Source(
    title="U.S. Navy Diving Manual, duration of the scuba air supply",
    author="Naval Sea Systems Command",
    year=2001,
    edition="Revision 4, Change A, chapter 7",
    licence=US_GOVERNMENT,
    address="http://navydiving.tpub.com/NavyDiving/css/Dive_Man_ChangeA_196.htm",
)

# Ice, pressure difference, lift

ICE_GUIDELINES = Source(
    title="Ice thickness guidelines: weight",
    author="Minnesota Department of Natural Resources, after Gold (1971)",
    licence=US_GOVERNMENT_OF_A_STATE,
    address="https://www-stage.dnr.state.mn.us/safety/ice/ice-thickness-guidelines-weight.html",
)
RIVER_AND_SNOW_ICE = Source(
    title="White ice and river ice against clear lake ice", licence=CITED, address="https://lakestclair.net"
)
PRESSURE_HAZARD_SHEET = Source(
    title="Differential pressure hazards in diving",
    author="Health and Safety Executive",
    edition="Diving Information Sheet 13 (rev 1)",
    licence=CITED,
    address="https://ar.scribd.com/document/395877100/Differential-pressure-hazards-in-diving",
)
PRESSURE_HAZARD_LECTURE = Source(
    title="Pressure difference at an opening (transcript of a training film)", licence=CITED
)
LIFT_EXAMPLE = Source(title="Lift bag", licence=CITED, address="http://everything2.com/title/lift+bag")
LIFT_ARTICLE = Source(title="Lifting bag", licence="CC BY-SA", address="https://wikimili.com/wiki/Lifting_bag")
METAL_DENSITIES = Source(title="Density of metals", licence=CITED, address="https://simetric.co.uk/si_metals.htm")
MATERIAL_DENSITIES = Source(
    title="Density of common materials chart", licence=CITED,
    address="https://enggkatta.com/density-of-common-materials-chart/",
)  # fmt: skip
BUILDING_DENSITIES = Source(
    title="Densities of different materials", licence=CITED,
    address="https://www.homecivil.com/densities-of-different-materials/",
)  # fmt: skip
ICE_ON_FOOT = Source(
    title="Stay off early ice", author="Department of Natural Resources, as reported", year=2016, licence=CITED,
    address="https://www.redwoodfallsgazette.com/news/20161218/dnr-reminder-avoid-early-ice",
)  # fmt: skip
ORIFICE_HANDBOOK = Source(title="Hydraulics handbooks, sharp-edged orifice", licence=CITED)
