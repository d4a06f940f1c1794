//! The words of each language, and the older encodings its files are found in.

/// How a language names what a log holds.
pub struct Language {
    pub name: &'static str,
    pub stamp: &'static str,
    pub date: &'static str,
    pub time: &'static str,
    pub temp: &'static str,
    pub rh: &'static str,
    pub months: [&'static str; 12],
    /// Labels of encodings (WHATWG).
    pub older: &'static [&'static str],
}

/// The language of a name.
pub fn language(name: &str) -> &'static Language {
    LANGUAGES.iter().find(|language| language.name == name).unwrap()
}

#[rustfmt::skip]
static LANGUAGES: [Language; 16] = [
    Language {
        name: "English", stamp: "timestamp", date: "Date", time: "Time", temp: "Temperature", rh: "Humidity",
        months: ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "German", stamp: "Zeitstempel", date: "Datum", time: "Uhrzeit", temp: "Temperatur", rh: "Feuchte",
        months: ["Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November", "Dezember"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "Spanish", stamp: "Fecha y hora", date: "Fecha", time: "Hora", temp: "Temperatura", rh: "Humedad relativa",
        months: ["enero", "febrero", "marzo", "abril", "mayo", "junio", "julio", "agosto", "septiembre", "octubre", "noviembre", "diciembre"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "French", stamp: "Horodatage", date: "Date", time: "Heure", temp: "Température", rh: "Humidité relative",
        months: ["janvier", "février", "mars", "avril", "mai", "juin", "juillet", "août", "septembre", "octobre", "novembre", "décembre"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "Dutch", stamp: "Tijdstip", date: "Datum", time: "Tijd", temp: "Temperatuur", rh: "Relatieve vochtigheid",
        months: ["januari", "februari", "maart", "april", "mei", "juni", "juli", "augustus", "september", "oktober", "november", "december"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "Italian", stamp: "Data e ora", date: "Data", time: "Ora", temp: "Temperatura", rh: "Umidità relativa",
        months: ["gennaio", "febbraio", "marzo", "aprile", "maggio", "giugno", "luglio", "agosto", "settembre", "ottobre", "novembre", "dicembre"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "Portuguese", stamp: "Data e hora", date: "Data", time: "Hora", temp: "Temperatura do ar", rh: "Umidade relativa",
        months: ["janeiro", "fevereiro", "março", "abril", "maio", "junho", "julho", "agosto", "setembro", "outubro", "novembro", "dezembro"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "Polish", stamp: "Data i czas", date: "Data", time: "Czas", temp: "Temperatura", rh: "Wilgotność względna",
        months: ["stycznia", "lutego", "marca", "kwietnia", "maja", "czerwca", "lipca", "sierpnia", "września", "października", "listopada", "grudnia"],
        older: &["windows-1250", "iso-8859-2"],
    },
    Language {
        name: "Czech", stamp: "Datum a čas", date: "Datum", time: "Čas", temp: "Teplota", rh: "Relativní vlhkost",
        months: ["ledna", "února", "března", "dubna", "května", "června", "července", "srpna", "září", "října", "listopadu", "prosince"],
        older: &["windows-1250", "iso-8859-2"],
    },
    Language {
        name: "Danish", stamp: "Tidspunkt", date: "Dato", time: "Klokkeslæt", temp: "Temperatur", rh: "Relativ luftfugtighed",
        months: ["januar", "februar", "marts", "april", "maj", "juni", "juli", "august", "september", "oktober", "november", "december"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "Norwegian", stamp: "Tidspunkt", date: "Dato", time: "Klokkeslett", temp: "Lufttemperatur", rh: "Luftfuktighet",
        months: ["januar", "februar", "mars", "april", "mai", "juni", "juli", "august", "september", "oktober", "november", "desember"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "Swedish", stamp: "Tidpunkt", date: "Datum", time: "Tid", temp: "Temperatur", rh: "Luftfuktighet",
        months: ["januari", "februari", "mars", "april", "maj", "juni", "juli", "augusti", "september", "oktober", "november", "december"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "Finnish", stamp: "Aikaleima", date: "Päivämäärä", time: "Kello", temp: "Lämpötila", rh: "Suhteellinen kosteus",
        months: ["tammikuuta", "helmikuuta", "maaliskuuta", "huhtikuuta", "toukokuuta", "kesäkuuta", "heinäkuuta", "elokuuta", "syyskuuta", "lokakuuta", "marraskuuta", "joulukuuta"],
        older: &["windows-1252", "iso-8859-15"],
    },
    Language {
        name: "Japanese", stamp: "測定日時", date: "日付", time: "時刻", temp: "温度", rh: "相対湿度",
        months: ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
        older: &["shift_jis"],
    },
    Language {
        name: "Chinese", stamp: "日期时间", date: "日期", time: "时间", temp: "温度", rh: "湿度",
        months: ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
        older: &["gb18030"],
    },
    Language {
        name: "Chinese, traditional", stamp: "日期時間", date: "日期", time: "時間", temp: "溫度", rh: "相對濕度",
        months: ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
        older: &["big5"],
    },
];
