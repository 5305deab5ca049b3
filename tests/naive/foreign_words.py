"""Headings in seven languages as loggers may write them, and the units; all invented, none from a real logger."""

SAID_AS = {
    "head": "head_speed_rpm", "motor": "motor_side_speed_rpm", "erpm": "motor_side_speed_rpm",
    "throttle": "throttle_percent", "duty": "duty", "volt": "pack_voltage_v", "amp": "pack_current_a",
    "charge": "charge_used_mah", "height": "height_m", "stick": "collective_deg", "warm": "controller_temperature_c",
}  # fmt: skip
"""Which channel a careful importer makes of each."""

HEADINGS: dict[str, dict[str, tuple[str, ...]]] = {
    "en": {
        "time": ("Time", "Timestamp", "Elapsed time"), "head": ("Main rotor speed", "Rotor rpm", "HeadRPM"),
        "motor": ("Motor rpm", "Motor speed"), "erpm": ("eRPM", "Electrical rpm"),
        "throttle": ("Throttle", "Thr channel"), "duty": ("Duty", "PWM out", "ESC duty"),
        "volt": ("Pack voltage", "Battery", "Vbat"), "amp": ("Current", "Pack current"),
        "charge": ("Consumed", "Used charge"), "height": ("Altitude", "Baro altitude"),
        "stick": ("Collective", "Coll pitch"), "warm": ("ESC temp", "Controller temperature"), "cell": ("Cell",),
    },
    "de": {
        "time": ("Zeit", "Uhrzeit", "Zeitstempel"), "head": ("Rotordrehzahl", "Kopfdrehzahl", "Drehzahl Hauptrotor"),
        "motor": ("Motordrehzahl", "Drehzahl Motor"), "erpm": ("Elektrische Drehzahl", "eDrehzahl"),
        "throttle": ("Gas", "Gaskanal"), "duty": ("Tastverhältnis", "Regleröffnung"),
        "volt": ("Akkuspannung", "Spannung Akku"), "amp": ("Strom", "Akkustrom"),
        "charge": ("Entnommene Ladung", "Verbrauch"), "height": ("Höhe", "Flughöhe"),
        "stick": ("Pitchwinkel", "Kollektiv"), "warm": ("Reglertemperatur", "Temperatur Regler"), "cell": ("Zelle",),
    },
    "fr": {
        "time": ("Temps", "Heure", "Horodatage"), "head": ("Régime rotor", "Vitesse rotor principal", "Régime tête"),
        "motor": ("Régime moteur", "Vitesse moteur"), "erpm": ("Régime électrique",),
        "throttle": ("Gaz", "Voie gaz"), "duty": ("Rapport cyclique", "Ouverture variateur"),
        "volt": ("Tension batterie", "Tension accu"), "amp": ("Courant", "Intensité"),
        "charge": ("Consommation", "Capacité consommée"), "height": ("Altitude", "Hauteur"),
        "stick": ("Pas collectif",), "warm": ("Température variateur",), "cell": ("Élément",),
    },
    "it": {
        "time": ("Tempo", "Ora"), "head": ("Giri rotore", "Giri testa", "Velocità rotore principale"),
        "motor": ("Giri motore", "Velocità motore"), "erpm": ("Giri elettrici",),
        "throttle": ("Gas", "Canale gas"), "duty": ("Duty cycle", "Apertura regolatore"),
        "volt": ("Tensione batteria", "Tensione pacco"), "amp": ("Corrente", "Corrente batteria"),
        "charge": ("Carica consumata", "Consumo"), "height": ("Quota", "Altezza"),
        "stick": ("Passo collettivo",), "warm": ("Temperatura regolatore",), "cell": ("Cella",),
    },
    "pl": {
        "time": ("Czas", "Czas lotu"), "head": ("Obroty wirnika", "Obroty głowicy", "Prędkość wirnika głównego"),
        "motor": ("Obroty silnika", "Prędkość silnika"), "erpm": ("Obroty elektryczne",),
        "throttle": ("Gaz", "Kanał gazu"), "duty": ("Wypełnienie", "Wypełnienie PWM"),
        "volt": ("Napięcie pakietu", "Napięcie akumulatora"), "amp": ("Prąd", "Natężenie prądu"),
        "charge": ("Zużyta pojemność", "Pobrany ładunek"), "height": ("Wysokość",),
        "stick": ("Skok ogólny",), "warm": ("Temperatura regulatora",), "cell": ("Ogniwo", "Cela"),
    },
    "es": {
        "time": ("Tiempo", "Hora"), "head": ("Velocidad del rotor", "RPM cabeza", "Vueltas rotor principal"),
        "motor": ("RPM motor", "Velocidad del motor"), "erpm": ("RPM eléctricas",),
        "throttle": ("Acelerador", "Canal de gas"), "duty": ("Ciclo de trabajo", "Apertura variador"),
        "volt": ("Tensión batería", "Voltaje batería"), "amp": ("Corriente", "Corriente batería"),
        "charge": ("Consumo", "Carga consumida"), "height": ("Altura", "Altitud"),
        "stick": ("Paso colectivo",), "warm": ("Temperatura variador",), "cell": ("Celda",),
    },
    "nl": {
        "time": ("Tijd", "Tijdstip"), "head": ("Toerental hoofdrotor", "Koptoerental", "Rotortoerental"),
        "motor": ("Motortoerental", "Toerental motor"), "erpm": ("Elektrisch toerental",),
        "throttle": ("Gas", "Gaskanaal"), "duty": ("Uitsturing", "Duty-cycle"),
        "volt": ("Accuspanning", "Spanning accu"), "amp": ("Stroom", "Accustroom"),
        "charge": ("Verbruik", "Verbruikte lading"), "height": ("Hoogte",),
        "stick": ("Collectieve pitch",), "warm": ("Regelaartemperatuur", "Temperatuur regelaar"), "cell": ("Cel",),
    },
}  # fmt: skip

ROTATION = {
    "en": ("rpm", "1/min"), "de": ("U/min", "1/min", "min⁻¹"), "fr": ("tr/min",), "it": ("giri/min", "rpm"),
    "pl": ("obr/min", "obr./min"), "es": ("rpm", "r.p.m."), "nl": ("omw/min", "tpm"),
}  # fmt: skip

FORMS: dict[str, tuple[tuple[str, float, float, int], ...]] = {
    "throttle": (("%", 1.0, 0.0, 1), ("µs", 8.2, 1090.0, 0), ("-100..100", 2.0, -100.0, 0), ("0..1", 0.01, 0.0, 3),
                 ("0..1024", 10.24, 0.0, 0), ("", 1.0, 0.0, 1)),
    "duty": (("%", 100.0, 0.0, 1), ("0..255", 255.0, 0.0, 0), ("0..1", 1.0, 0.0, 3), ("", 100.0, 0.0, 0)),
    "volt": (("V", 1.0, 0.0, 2), ("V", 1.0, 0.0, 1), ("mV", 1000.0, 0.0, 0), ("", 1.0, 0.0, 2)),
    "amp": (("A", 1.0, 0.0, 1), ("A", 1.0, 0.0, 2), ("mA", 1000.0, 0.0, 0), ("", 1.0, 0.0, 1)),
    "charge": (("mAh", 1.0 / 3.6, 0.0, 0), ("Ah", 1.0 / 3600.0, 0.0, 3)),
    "height": (("m", 1.0, 0.0, 1), ("ft", 1.0 / 0.3048, 0.0, 0), ("m", 1.0, 312.0, 1)),
    "stick": (("°", 1.0, 0.0, 1), ("deg", 1.0, 0.0, 2)),
    "warm": (("°C", 1.0, 0.0, 0), ("°F", 1.8, 32.0, 0)),
}  # fmt: skip
"""Unit as written, factor, offset and digits; an empty unit is not written at all."""

EVENTS = {
    "en": ("Event", "Model"), "de": ("Ereignis", "Modell"), "fr": ("Événement", "Modèle"), "it": ("Evento", "Modello"),
    "pl": ("Zdarzenie", "Model"), "es": ("Evento", "Modelo"), "nl": ("Gebeurtenis", "Model"),
}  # fmt: skip
