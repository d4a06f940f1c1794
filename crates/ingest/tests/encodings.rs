//! Real words in every encoding a log may come in, through the whole reader.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod common;

use common::{assert_column, zone};
use encoding_rs::Encoding;
use grainfall_ingest::{Reading, read_bytes};
use grainfall_record::{Certainty, Quantity};

/// Header lines as instruments of a language may write them, and the older encodings they may be in.
const HEADERS: [(&str, &[&str]); 9] = [
    ("Zeit;Temperatur Außenfühler (°C);Luftfeuchtigkeit für Räume (%)", &["windows-1252", "iso-8859-15"]),
    ("Date/Heure;Température (°C);Humidité relative (%)", &["windows-1252", "iso-8859-15"]),
    ("Data;Temperatura powietrza wewnątrz (°C);Wilgotność względna (%)", &["windows-1250", "iso-8859-2"]),
    ("Datum a čas;Teplota vzduchu (°C);Relativní vlhkost (%)", &["windows-1250", "iso-8859-2"]),
    ("Fecha y hora;Temperatura del salón pequeño (°C);Humedad relativa (%)", &["windows-1252", "iso-8859-15"]),
    ("Tidpunkt för mätning;Temperatur (°C);Luftfuktighet på källarvåning (%)", &["windows-1252", "iso-8859-15"]),
    ("日時;温度(℃);湿度(%)", &["shift_jis", "euc-jp"]),
    ("时间;温度(℃);湿度(%)", &["gb18030"]),
    ("時間;溫度(℃);濕度(%)", &["big5"]),
];

fn log(header: &str, line_end: &str) -> String {
    let mut text = format!("{header}{line_end}");
    for i in 0..12 {
        text += &format!("2024-03-04 08:{:02};{}.5;4{}{line_end}", i * 5, 20 + i, i % 10);
    }
    text
}

#[track_caller]
fn assert_read(reading: &Reading, context: &str) {
    let temps: Vec<Option<f64>> = (0..12).map(|i| Some(20.5 + f64::from(i))).collect();
    let humidities: Vec<Option<f64>> = (0..12).map(|i| Some(40.0 + f64::from(i % 10))).collect();
    assert_eq!(common::ids(reading), ["log"], "{context}: {:#?}", reading.ledger.inputs);
    assert_column(reading, "log", Quantity::AirTemp, &temps);
    assert_column(reading, "log", Quantity::RelativeHumidity, &humidities);
}

fn encoding(reading: &Reading) -> (String, Certainty) {
    let found = common::decision(reading, "encoding");
    (found.value.clone(), found.certainty)
}

#[test]
fn utf8_and_utf16_with_and_without_a_mark() {
    for (header, _) in HEADERS {
        for line_end in ["\n", "\r\n", "\r"] {
            let text = log(header, line_end);
            let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
            let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
            let forms: [(&str, Vec<u8>); 6] = [
                ("UTF-8", text.clone().into_bytes()),
                ("UTF-8", [b"\xEF\xBB\xBF", text.as_bytes()].concat()),
                ("UTF-16LE", little.clone()),
                ("UTF-16LE", [b"\xFF\xFE", &little[..]].concat()),
                ("UTF-16BE", big.clone()),
                ("UTF-16BE", [b"\xFE\xFF", &big[..]].concat()),
            ];
            for (name, bytes) in forms {
                let reading = read_bytes("log.csv", &bytes, &zone("UTC")).unwrap();
                assert_read(&reading, name);
                assert_eq!(encoding(&reading), (name.to_owned(), Certainty::Settled), "{header}");
            }
        }
    }
}

#[test]
fn older_encodings_give_the_words_back() {
    for (header, names) in HEADERS {
        for name in names {
            let encoding = Encoding::for_label(name.as_bytes()).unwrap();
            let text = log(header, "\r\n");
            let (bytes, _, lost) = encoding.encode(&text);
            assert!(!lost, "{name} has no letters for {header}");
            let reading = read_bytes("log.csv", &bytes, &zone("UTC")).unwrap();
            assert_read(&reading, name);
            // Another encoding that gives the same words is as good.
            let (found, certainty) = self::encoding(&reading);
            let found = Encoding::for_label(found.as_bytes()).unwrap();
            let (back, _) = found.decode_without_bom_handling(&bytes);
            assert_eq!(back.lines().next(), Some(header), "{name} read as {}", found.name());
            assert_eq!(certainty, Certainty::Guess);
        }
    }
}

#[test]
fn cyrillic_and_greek_are_read_by_their_letters() {
    for (header, name) in [
        ("Время;Temp комната (°C);RH влажность воздуха (%)", "windows-1251"),
        ("Ώρα μέτρησης;Temp θερμοκρασία (°C);RH υγρασία αέρα (%)", "windows-1253"),
    ] {
        let encoding = Encoding::for_label(name.as_bytes()).unwrap();
        let text = log(header, "\n");
        let reading = read_bytes("log.csv", &encoding.encode(&text).0, &zone("UTC")).unwrap();
        assert_read(&reading, name);
        assert_eq!(self::encoding(&reading), (name.to_owned(), Certainty::Guess));
    }
}

#[test]
fn zero_bytes_and_a_torn_end() {
    let mut bytes = log("Time;Temp (°C);RH (%)", "\n").into_bytes();
    bytes.extend([0; 300]);
    bytes.extend(b"\n");
    let reading = read_bytes("log.csv", &bytes, &zone("UTC")).unwrap();
    assert_read(&reading, "zero bytes");
    assert_eq!(common::decision(&reading, "zero bytes").value, "300");
    let mut bytes = log("Time;Temp (°C);RH (%)", "\n").into_bytes();
    bytes.extend(b"2024-03-04 09:00;3");
    let reading = read_bytes("log.csv", &bytes, &zone("UTC")).unwrap();
    assert_read(&reading, "torn");
    assert_eq!(common::refusals(&reading).len(), 1);
}
