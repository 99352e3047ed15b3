//! Gas cartridges against the reference equation of state of carbon dioxide, evaluated apart from this program, and its known points.

use crate::sheet::{close, near, rows};
use holdpoint::engineering::gas_cartridge::{cold_rise, warm_rise};
use holdpoint::quantity::{Mass, Pressure, Temperature, Volume};

/// The standard atmosphere at sea level, Pa.
const ATMOSPHERE: f64 = 101_325.0;

fn grams(mass: f64) -> Mass {
    Mass::from_si(mass * 1e-3)
}

fn litres(volume: f64) -> Volume {
    Volume::from_si(volume * 1e-3)
}

fn celsius(temperature: f64) -> Temperature {
    Temperature::from_si(temperature + 273.15)
}

#[test]
fn both_bounds_agree_with_the_reference_equation() {
    let mut seen = 0;
    for row in rows("carbon_dioxide.csv") {
        let (gas, room, field) =
            (grams(row.number("gas_g")), litres(row.number("volume_l")), celsius(row.number("field_degc")));
        // Peng and Robinson's equation against the reference one: a few parts in a thousand at these densities.
        close("warm", warm_rise(gas, room, field).unwrap().si() / 1e3, row.number("warm_kpa"), 0.004);
        if row.text("unwarmed_kpa").is_empty() {
            continue;
        }
        let cold = cold_rise(gas, room, field, Pressure::from_si(ATMOSPHERE)).unwrap();
        near("unwarmed", cold.si() / 1e3, row.number("unwarmed_kpa"), 2.0);
        seen += 1;
    }
    assert_eq!(seen, 8);
}

/// The pressure of saturated liquid at 20 °C is 5.729 MPa and at 0 °C 3.485 MPa (Span and Wagner 1996): no room, however small,
/// comes to more.
#[test]
fn no_room_comes_to_more_than_the_liquids_own_pressure() {
    for (field, most) in [(20.0, 5.729e6), (0.0, 3.485e6)] {
        let tight = warm_rise(grams(16.0), litres(0.03), celsius(field)).unwrap();
        close("saturation", tight.si(), most, 0.001);
    }
}

/// Carbon dioxide under the pressure of one atmosphere sublimes at −78.5 °C: a cartridge whose cold gas comes to one atmosphere of
/// its own leaves the air of the room at 194.7 K, so that the rise is that atmosphere less what the air lost by cooling.
#[test]
fn dry_ice_lies_there_at_its_known_temperature() {
    let field = 20.0;
    let at_one_atmosphere = ATMOSPHERE + ATMOSPHERE * (194.69 / (field + 273.15) - 1.0);
    let rise = |gas: f64| {
        cold_rise(grams(gas), litres(3.0), celsius(field), Pressure::from_si(ATMOSPHERE)).unwrap().si()
    };
    // 8.27 g of gas fill three litres at that point; heat must have left some of the cartridge as ice.
    let (mut low, mut high) = (5.0, 20.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if rise(middle) < at_one_atmosphere { low = middle } else { high = middle }
    }
    assert!(low > 8.27 && low < 12.0, "{low} g");
}

#[test]
fn the_unwarmed_bound_is_never_above_the_warm_one() {
    for field in [-20.0, 0.0, 25.0, 45.0] {
        for gas in [4.0, 8.0, 16.0, 45.0] {
            for room in [0.5, 2.0, 10.0, 40.0] {
                let outside = Pressure::from_si(70_000.0);
                let cold = cold_rise(grams(gas), litres(room), celsius(field), outside).unwrap();
                let warm = warm_rise(grams(gas), litres(room), celsius(field)).unwrap();
                assert!(cold.si() >= 0.0 && cold <= warm, "{field} °C, {gas} g, {room} l");
            }
        }
    }
}

#[test]
fn refuses_what_lies_beyond_its_bounds() {
    let outside = Pressure::from_si(ATMOSPHERE);
    for (gas, room, field) in [(8.0, 0.0, 20.0), (-8.0, 2.0, 20.0), (8.0, 2.0, -40.0), (8.0, 2.0, 60.0)] {
        assert!(warm_rise(grams(gas), litres(room), celsius(field)).is_err(), "{gas} {room} {field}");
        assert!(
            cold_rise(grams(gas), litres(room), celsius(field), outside).is_err(),
            "{gas} {room} {field}"
        );
    }
    assert!(cold_rise(grams(8.0), litres(2.0), celsius(20.0), Pressure::from_si(0.0)).is_err());
    assert!(warm_rise(grams(8.0), litres(0.005), celsius(40.0)).is_err());
}
