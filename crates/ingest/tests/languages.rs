//! Headers as programs write them in each language.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod common;

use common::{assert_column, ids, input, read, times};
use grainfall_record::Quantity;

/// Language, header, and the first row; all mean 2024-03-04 15:30, 20.5 degC, 45.5 %, dew point 8.3 degC.
const HEADERS: [(&str, &str, &str); 15] = [
    ("English", "Date/Time;Air temperature (°C);Relative humidity (%);Dew point (°C)", "2024-03-04 15:30"),
    (
        "Spanish",
        "Fecha y hora;Temperatura (°C);Humedad relativa (%);Punto de rocío (°C)",
        "4 de marzo de 2024 3:30 p. m.",
    ),
    ("French", "Date et heure;Température (°C);Humidité relative (% HR);Point de rosée (°C)", "4 mars 2024 à 15h30"),
    ("German", "Datum/Uhrzeit;Lufttemperatur in °C;rel. Luftfeuchte in %;Taupunkt in °C", "4. März 2024 15:30"),
    ("Dutch", "Datum en tijd;Temperatuur (°C);Relatieve vochtigheid (%RV);Dauwpunt (°C)", "4 maart 2024 15:30"),
    ("Italian", "Data e ora;Temperatura aria (°C);Umidità relativa (%UR);Punto di rugiada (°C)", "4 marzo 2024 15:30"),
    (
        "Portuguese",
        "Data e hora;Temperatura do ar (°C);Umidade relativa (%);Ponto de orvalho (°C)",
        "4 de março de 2024 15:30",
    ),
    ("Polish", "Data i czas;Temperatura powietrza (°C);Wilgotność względna (%);Punkt rosy (°C)", "4 marca 2024 15:30"),
    ("Czech", "Datum a čas;Teplota vzduchu (°C);Relativní vlhkost (%);Rosný bod (°C)", "4. března 2024 15:30"),
    ("Danish", "Dato og tid;Lufttemperatur (°C);Relativ luftfugtighed (%);Dugpunkt (°C)", "4. marts 2024 kl. 15.30"),
    ("Norwegian", "Dato og tid;Lufttemperatur (°C);Relativ luftfuktighet (%);Duggpunkt (°C)", "4. mars 2024 kl. 15.30"),
    ("Swedish", "Datum och tid;Lufttemperatur (°C);Relativ luftfuktighet (%);Daggpunkt (°C)", "4 mars 2024 kl. 15.30"),
    (
        "Finnish",
        "Päivämäärä ja aika;Ilman lämpötila (°C);Suhteellinen kosteus (%);Kastepiste (°C)",
        "4. maaliskuuta 2024 klo 15.30",
    ),
    ("Japanese", "測定日時;温度(℃);相対湿度(%);露点温度(℃)", "2024年3月4日 午後3時30分"),
    ("Chinese", "日期时间;空气温度(℃);相对湿度(%);露点(℃)", "2024/3/4 下午 3:30"),
];

#[test]
fn headers_and_dates_of_every_language() {
    for (language, header, stamp) in HEADERS {
        let second = stamp.replacen("30", "40", 1);
        let text = format!("{header}\n{stamp};20,5;45,5;8,3\n{second};20,5;45,5;8,3\n");
        let reading = read(&text);
        assert_eq!(ids(&reading), ["log"], "{language}: {:#?}", input(&reading));
        assert_eq!(times(&reading, "log"), ["2024-03-04T15:30:00Z", "2024-03-04T15:40:00Z"], "{language}");
        for (quantity, value) in
            [(Quantity::AirTemp, 20.5), (Quantity::RelativeHumidity, 45.5), (Quantity::DewPoint, 8.3)]
        {
            assert_column(&reading, "log", quantity, &[Some(value), Some(value)]);
        }
    }
}

#[test]
fn compounds_and_words_without_blanks_between_them() {
    let reading = read(
        "Zeit;Innentemperatur (°C);Innenfeuchte (%);Außentemperatur (°C);Außenfeuchte (%)\n2024-01-01 00:00;20;40;5;80\n2024-01-01 00:10;20;40;5;80\n",
    );
    assert_eq!(ids(&reading).len(), 2, "{:?}", ids(&reading));
    let reading = read(
        "時刻,室内温度(℃),室内湿度(%),室外温度(℃),室外湿度(%)\n2024-01-01 00:00,20,40,5,80\n2024-01-01 00:10,20,40,5,80\n",
    );
    assert_eq!(ids(&reading), ["log/室内", "log/室外"]);
}

#[test]
fn statistics_and_extremes_are_left_out_in_other_languages() {
    let reading = read(
        "Tijd;Temperatuur (°C);Hoogste temperatuur (°C);Batterij (V)\n2024-01-01 00:00;20;25;3\n2024-01-01 00:10;20;25;3\nGemiddelde;20;25;3\n",
    );
    assert_column(&reading, "log", Quantity::AirTemp, &[Some(20.0), Some(20.0)]);
    assert_eq!(
        common::refusals(&reading),
        ["4 - `Gemiddelde | 20 | 25 | 3`: a row that sums up the rows above, not a sample"]
    );
}
