//! Heat of a room: what comes in, what air and walls carry, and how fast the room warms when nothing takes it away.
//!
//! Sources: ASHRAE Handbook, Fundamentals, chapter 18 (nonresidential cooling loads: air, people, conduction, sun); identities and
//! energy balances where it says so. Sensible heat only, at sea level. These are planning figures: whoever sizes the unit decides.

/// Watts as British thermal units an hour; 3.412 is widely printed.
pub const BTU_H_PER_W: f64 = 3.412_142;

/// W/m²K in one Btu/h ft² °F: from the Btu, the foot and the degree Fahrenheit, all exact by definition.
pub const W_M2K_PER_BTU_H_FT2_F: f64 = 5.678_263_341;

/// A ton of refrigeration, by definition, Btu/h.
pub const BTU_H_PER_TON: f64 = 12_000.0;

/// Heat that a litre of air a second carries for a kelvin, W; ASHRAE Fundamentals chapter 18. Recent editions also print 1.23.
pub const AIR_W_PER_L_S_K: f64 = 1.2;

/// The same in inch-pound units: Btu/h for a cubic foot a minute and a degree Fahrenheit; the trade's 1.08.
pub const AIR_BTU_H_PER_CFM_F: f64 = 1.08;

/// Heat that warms a cubic metre of air by a kelvin, J: the 1.2 J of a litre.
pub const AIR_J_PER_M3_K: f64 = 1000.0 * AIR_W_PER_L_S_K;

/// Heat that warms a kilogram of machinery by a kelvin, J: that of steel, 0.5 kJ/kg K (value from memory; aluminium and plastics take more).
pub const STEEL_J_PER_KG_K: f64 = 500.0;

/// What one person gives off at some work, in a room of 24 °C, adjusted for a mixed group.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Work {
    /// The work, in the words of the table.
    pub work: &'static str,
    /// Heat that warms the room, W.
    pub sensible_w: f64,
    /// Heat in the moisture given off, W.
    pub latent_w: f64,
}

/// Light bench work, of [`PEOPLE`].
pub const LIGHT_BENCH_WORK: Work = work("light bench work", 80.0, 140.0);

/// ASHRAE Handbook, Fundamentals, chapter 18 table 1 (2009 and 2013 agree).
pub const PEOPLE: [Work; 7] = [
    work("seated, very light work", 70.0, 45.0),
    work("moderately active office work", 75.0, 55.0),
    work("standing, light work; walking", 75.0, 55.0),
    work("walking, standing", 75.0, 70.0),
    LIGHT_BENCH_WORK,
    work("light machine work", 110.0, 185.0),
    work("heavy work", 170.0, 255.0),
];

const fn work(work: &'static str, sensible_w: f64, latent_w: f64) -> Work {
    Work {
        work,
        sensible_w,
        latent_w,
    }
}

impl Work {
    /// What so many people give off, sensible and latent heat, in the units of the row.
    pub fn of_people(self, people: f64) -> (f64, f64) {
        (people * self.sensible_w, people * self.latent_w)
    }

    /// The same in a room of 27 °C: a fifth less sensible heat, and as much more latent; note to the same table.
    #[must_use]
    pub fn at_27_c(self) -> Self {
        let less = self.sensible_w * 0.2;
        Self {
            sensible_w: self.sensible_w - less,
            latent_w: self.latent_w + less,
            ..self
        }
    }
}

/// A number where it is one.
fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

/// A number where it is one and not below zero.
fn not_negative(value: f64) -> Option<f64> {
    (value.is_finite() && value >= 0.0).then_some(value)
}

/// Watts as Btu/h.
pub fn btu_h(watts: f64) -> Option<f64> {
    finite(watts * BTU_H_PER_W)
}

/// Watts as tons of refrigeration.
pub fn tons(watts: f64) -> Option<f64> {
    Some(btu_h(watts)? / BTU_H_PER_TON)
}

/// Sensible heat that a flow of air brings, `warmer_k` above the room; below zero where it is colder. W.
pub fn air_w(flow_l_s: f64, warmer_k: f64) -> Option<f64> {
    finite(AIR_W_PER_L_S_K * not_negative(flow_l_s)? * warmer_k)
}

/// The same in inch-pound units, Btu/h.
pub fn air_btu_h(flow_cfm: f64, warmer_f: f64) -> Option<f64> {
    finite(AIR_BTU_H_PER_CFM_F * not_negative(flow_cfm)? * warmer_f)
}

/// Air that leaks into a room changed so often an hour, L/s (identity: a cubic metre an hour is 1/3.6 litres a second).
pub fn leakage_l_s(changes_h: f64, volume_m3: f64) -> Option<f64> {
    finite(not_negative(changes_h)? * not_negative(volume_m3)? / 3.6)
}

/// Heat that passes through a surface, W: U A ΔT.
pub fn conduction_w(area_m2: f64, u_w_m2k: f64, warmer_k: f64) -> Option<f64> {
    finite(not_negative(area_m2)? * not_negative(u_w_m2k)? * warmer_k)
}

/// Resistance of one layer, m²K/W: thickness by conductivity. `None` without either.
pub fn layer_m2k_w(thickness_m: f64, conductivity_w_mk: f64) -> Option<f64> {
    (conductivity_w_mk > 0.0)
        .then(|| not_negative(thickness_m / conductivity_w_mk))
        .flatten()
}

/// Transmittance of a build-up, the inverse of its resistance, in the same system of units. `None` where nothing resists.
pub fn transmittance(resistance: f64) -> Option<f64> {
    (resistance > 0.0)
        .then(|| not_negative(1.0 / resistance))
        .flatten()
}

/// Sun through glass, W: area, share that gets in (solar heat gain coefficient), irradiance on the glass.
pub fn sun_w(area_m2: f64, share: f64, irradiance_w_m2: f64) -> Option<f64> {
    finite(not_negative(area_m2)? * not_negative(share)? * not_negative(irradiance_w_m2)?)
}

/// Outdoor air that a laboratory asks for, L/s: 5 a person and 0.9 a square metre (ASHRAE 62.1, table 6-1). `None` for less than
/// nobody or no floor.
pub fn outdoor_air_wanted_l_s(people: f64, area_m2: f64) -> Option<f64> {
    finite(not_negative(people)? * 5.0 + not_negative(area_m2)? * 0.9)
}

/// What a supply loses in heat while it carries a load, W: load by efficiency, less the load (energy balance).
pub fn supply_loss_w(load_w: f64, efficiency: f64) -> Option<f64> {
    (efficiency > 0.0 && efficiency <= 1.0)
        .then(|| finite(not_negative(load_w)? * (1.0 / efficiency - 1.0)))
        .flatten()
}

/// How far a room warms, above where nothing flows, until walls and air carry a steady heat away, K: heat by conductance
/// (energy balance). `None` where nothing carries any.
pub fn balance_rise_k(heat_w: f64, conductance_w_k: f64) -> Option<f64> {
    (conductance_w_k > 0.0)
        .then(|| finite(heat_w / conductance_w_k))
        .flatten()
}

/// How long a steady heat takes to warm a room by so much, s: one lumped heat capacity, from which a conductance carries away
/// ever more as it warms. `None` where it never gets so warm.
///
/// Energy balance: C dT/dt = P - G T, so t = -(C/G) ln(1 - G ΔT/P), and C ΔT/P where G is nought.
pub fn warming_s(heat_w: f64, conductance_w_k: f64, capacity_j_k: f64, rise_k: f64) -> Option<f64> {
    let (conductance, rise) = (not_negative(conductance_w_k)?, not_negative(rise_k)?);
    let capacity = not_negative(capacity_j_k)?;
    if rise == 0.0 {
        return Some(0.0);
    }
    let share = conductance * rise / heat_w;
    if heat_w <= 0.0 || share >= 1.0 {
        return None;
    }
    // Below this the logarithm is its own argument to the last bit.
    let stretch = if share < 1e-9 {
        1.0
    } else {
        -(-share).ln_1p() / share
    };
    finite(capacity * rise / heat_w * stretch)
}

/// How far a steady heat warms a room in so many seconds, K: the same balance the other way round,
/// ΔT = P/G (1 - exp(-G t/C)), and P t/C where G is nought. Below zero where heat leaves.
pub fn warmed_k(heat_w: f64, conductance_w_k: f64, capacity_j_k: f64, seconds: f64) -> Option<f64> {
    let (conductance, seconds) = (not_negative(conductance_w_k)?, not_negative(seconds)?);
    let capacity = (capacity_j_k > 0.0).then_some(capacity_j_k)?;
    let share = conductance * seconds / capacity;
    // Below this the exponential is a straight line to the last bit.
    let stretch = if share < 1e-9 {
        1.0
    } else {
        -libm::expm1(-share) / share
    };
    finite(heat_w * seconds / capacity * stretch)
}
