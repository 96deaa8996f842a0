"""Every document that the tool cites, once.

`address` is where the text was read. A document that was only seen through somebody who quotes it
is still cited by its own title; the number that relies on it says so in its note.
"""

from opsrisk.reference.value import Source

US_GOVERNMENT = "public domain (work of the United States government)"
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
