"""Constants that belong to no material, with unit and source. `docs/science.md` discusses each.

Marks: published (read in the publication or a hosted copy), from memory (recalled, not read again),
practice (common practice, no published source), estimate (ours), definition (arithmetic).
"""

from __future__ import annotations

from typing import Final

# --- targets of a mix -------------------------------------------------------------------------------------
CN_PREFERRED: Final = (25.0, 30.0)  # [-] NRAES-54 1992, Table 2.1, from memory (CIAS 2002: 25-35)
CN_TOLERATED: Final = (20.0, 40.0)  # [-] CIAS 2002, Table 1, published
MOISTURE_PREFERRED: Final = (0.50, 0.60)  # [kg/kg wet] Rynk et al. 2021, Table 4.2, published
MOISTURE_TOLERATED: Final = (0.40, 0.65)  # [kg/kg wet] CIAS 2002, Table 1, published
MOISTURE_TARGET: Final = 0.55  # [kg/kg wet] middle of the preferred range
FREE_AIR_SPACE_LEAST: Final = 0.30  # [m3/m3] Haug 1993: 30-36 % and more keep a mix airy, from memory
BULK_DENSITY_MOST: Final = 593.0  # [kg/m3] 1000 lb/yd3, CIAS 2002, Table 1, published

# --- the solids of a mix ----------------------------------------------------------------------------------
DENSITY_WATER: Final = 1000.0  # [kg/m3] definition, near enough from 0 to 70 C
DENSITY_ORGANIC: Final = 1600.0  # [kg/m3] particle density of organic matter; Haug 1993, from memory
DENSITY_ASH: Final = 2500.0  # [kg/m3] particle density of ash and minerals; Haug 1993, from memory
SOIL_FIELD_MOISTURE: Final = 0.20  # [kg/kg wet] a loam at field capacity, about 25 % of dry; estimate

# --- layers (practice) ------------------------------------------------------------------------------------
LAYER_VEGETATION_M: Final = 0.25  # [m] practice
LAYER_FEED_M: Final = 0.05  # [m] manure or legume plants, practice
LAYER_SOIL_M: Final = 0.05  # [m] practice
FEED_MORE_MOST: Final = 2.0  # [-] of the usual layer, when nobody said how much manure there is; estimate
FOUNDATION_M: Final = (0.15, 0.20)  # [m] practice: thin for a low pile, thick for a high one
KEEP_IN_M: Final = 0.03  # [m] broad leaves or paper; practice says thin, the figure is an estimate
CAP_M: Final = 0.05  # [m] mulch on top; practice, the figure is an estimate
SPRINKLE_M: Final = 0.001  # [m] ash or eggshell, 1 L/m2 each round; estimate
SCRAPS_SHARE_MOST: Final = 0.20  # [m3/m3] kitchen scraps in the vegetation layer; estimate

# --- sizes ------------------------------------------------------------------------------------------------
PILE_SIDE_M: Final = (0.3, 12.0)  # [m] length and width accepted; estimate
PILE_HEIGHT_M: Final = (0.3, 3.0)  # [m] height accepted: a farmer lifts by hand; estimate
PILE_SMALLEST_M: Final = 1.0  # [m] practice; FAO Soils Bulletin 80 (2005): 1 m3, published
PILE_GOOD_M: Final = 2.0  # [m] practice
LEAN: Final = 0.2  # [m/m] how far each side of a tapered heap leans in; estimate
TOP_LEAST: Final = 0.4  # [m/m] of the base's side is left on top of a tapered heap; estimate
SETTLING: Final = 0.40  # [m3/m3] lost in the end; ARCC Agricultural Reviews R-2197: 20 to 60 %, published
SETTLING_RATE: Final = 1 / 30  # [1/d] estimate
PILE_TALLEST_M: Final = 2.0  # [m] taller packs tight at the bottom; practice

# --- water ------------------------------------------------------------------------------------------------
LATENT_HEAT: Final = 2.45  # [MJ/kg] of water at 20 C, FAO-56 1998, published (restated)
HEAT_OF_DECAY: Final = 21.0  # [MJ/kg] organic matter lost; Haug 1993: 21 to 23, from memory
VAPOUR_SHARE: Final = 0.5  # [-] of the heat of decay leaves as vapour in a heap without a blower; estimate
DECAY_WATER: Final = 0.55  # [kg/kg] water formed by decay; Haug 1993: 0.5 to 0.6, from memory
RAIN_CAUGHT: Final = 0.8  # [-] of the rain on the top that enters; the rest runs off; estimate
HOLDING_MOISTURE: Final = 0.70  # [kg/kg wet] beyond which water drains from most mixes; estimate

# --- finished compost -------------------------------------------------------------------------------------
COMPOST_MOISTURE: Final = 0.40  # [kg/kg wet] estimate, damp but not wet
COMPOST_DENSITY: Final = 600.0  # [kg/m3] at that moisture; estimate, the round figure of conversion tables
COMPOST_NITROGEN: Final = 0.015  # [kg/kg dry] Univ. of California: 0.5 to 2.5 %, published
COMPOST_PHOSPHORUS: Final = 0.005  # [kg/kg dry] low end of 0.5 to 1.5 %, Minnesota PCA, published
COMPOST_POTASSIUM: Final = 0.005  # [kg/kg dry] low end of 0.5 to 1 %, Minnesota PCA, published
FIRST_SEASON_NITROGEN: Final = 0.10  # [kg/kg] of total N; Univ. of California (Hartz): 5 to 10 %, published
NITROGEN_KEPT: Final = 0.70  # [kg/kg] Eghball et al. 1997: 19 to 42 % lost, from memory
SLOW_LOST: Final = 0.60  # [kg/kg] of the slow share by the time compost is used; estimate
HANDFUL_L: Final = 0.1  # [L] one hand; estimate
