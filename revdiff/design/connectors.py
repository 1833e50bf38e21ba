"""Connectors and their contacts, column by column.

Of every column all spellings that are accepted, in English, German, French, Spanish and Chinese (common practice, no
source).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from revdiff.design.fields import column
from revdiff.design.origin import Origin
from revdiff.design.parts import Extra
from revdiff.design.reading import Reading

_GROUNDS = frozenset({"gnd", "ground", "0v", "vss", "agnd", "dgnd"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """One numbered contact of a connector."""

    connector: str
    number: str
    signal: Reading = column(
        "signal,net,net name,signal name,name,net label,label,signalname,netz,netzname,nom du signal,réseau,señal,"
        "nombre de señal,red,信号,信号名,信号名称,网络,网络名",
        cell="signal",
    )
    direction: Reading = column(
        "direction,dir,i/o,io type,type,electrical type,richtung,sens,dirección,sentido,方向",
        cell="direction",
        kind="contact.direction",
    )
    level: Reading = column(
        "level,voltage,logic level,voltage level,io level,pegel,spannung,niveau,tension,nivel,tensión,电平,电压",
        unit="V",
        kind="contact.level",
    )
    current: Reading = column(
        "current,max current,current rating,load current,imax,amps,strom,courant,corriente,电流",
        unit="A",
        kind="contact.current",
    )
    function: Reading = column(
        "function,use,purpose,description,peripheral,funktion,fonction,función,beschreibung,descripción,功能,用途,"
        "说明,描述",
    )
    state: Reading = column("state", kind="contact.behaviour")
    power_on: Reading = column(
        "power-on,at power-on,reset state,power-on state", cell="power-on", kind="contact.behaviour"
    )
    pull: Reading = column("pull,pull up down,pullup,pulls", cell="pull", kind="contact.behaviour")
    active: Reading = column("active,active level", cell="active", kind="contact.behaviour")
    drive: Reading = column("drive,output drive", cell="drive", kind="contact.behaviour")
    family: Reading = column("family,logic family", kind="contact.level")
    maximum: Reading = column("maximum,absolute maximum,max voltage", unit="V", kind="contact.level")
    tolerant: Reading = column("5V tolerant,5v tolerance,tolerant", cell="tolerant", kind="contact.level")
    resistance: Reading = column("series resistance", unit="Ω", kind="contact.behaviour")
    switches: Reading = column("switches,load", kind="contact.behaviour")
    note: Reading = column(
        "note,notes,remark,remarks,comment,bemerkung,bemerkungen,anmerkung,remarque,commentaire,nota,observaciones,"
        "comentario,备注,注释",
    )
    extra: Extra = ()
    origin: Origin = field(compare=False)

    @property
    def name(self) -> str:
        """What a person would say: ``J3.7``."""
        return f"{self.connector}.{self.number}"

    @property
    def is_ground(self) -> bool:
        """Whether it is a ground or return: by its direction or its name (common practice, no source)."""
        return self.direction.word == "ground" or self.signal.word in _GROUNDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Connector:
    """A connector, its properties and its contacts by number."""

    name: str
    role: Reading = column(
        "role,use,kind,purpose,side,rolle,verwendung,rôle,función,用途",
        cell="role",
        kind="connector.role",
    )
    count: Reading = column(
        "contacts,contact count,positions,ways,pins,pin count,number of contacts,no of contacts,poles,kontakte,"
        "polzahl,kontaktzahl,nombre de contacts,nombre de broches,contactos,número de contactos,触点数,针数",
        cell="number",
        kind="connector.count",
    )
    rows: Reading = column(
        "rows,row count,number of rows,row,reihen,reihenzahl,rangées,filas,排数",
        cell="number",
        kind="connector.count",
    )
    pitch: Reading = column(
        "pitch,contact pitch,spacing,raster,rastermaß,pas,paso,间距",
        cell="length",
        unit="m",
        kind="connector.pitch",
    )
    gender: Reading = column(
        "gender,sex,male female,m/f,polarity,geschlecht,genre,género,公母",
        cell="gender",
        kind="connector.gender",
    )
    height: Reading = column(
        "height,mated height,stack height,stacking height,mating height,board distance,höhe,stapelhöhe,hauteur,"
        "altura,高度",
        cell="length",
        unit="m",
    )
    x: Reading = column(
        "x,pos x,x position,position x,center x,centre x",
        cell="length",
        unit="m",
        kind="connector.position",
    )
    y: Reading = column(
        "y,pos y,y position,position y,center y,centre y",
        cell="length",
        unit="m",
        kind="connector.position",
    )
    rotation: Reading = column(
        "rotation,rot,angle,orientation,drehung,winkel,rotación,角度",
        cell="angle",
        unit="°",
        kind="connector.position",
    )
    rating: Reading = column(
        "rating,current rating,rating per contact,contact rating,current per contact,max current,strombelastbarkeit,"
        "nennstrom,courant nominal,corriente nominal,额定电流",
        unit="A",
    )
    part_number: Reading = column(
        "part number,mpn,part no,manufacturer part number,ordering code,order number,part,bestellnummer,teilenummer,"
        "herstellernummer,référence fabricant,número de parte,型号,料号",
    )
    numbering: Reading = column(
        "numbering,numbering scheme,contact numbering", cell="numbering", kind="connector.numbering"
    )
    view: Reading = column("view,numbering view,drawn from", cell="view", kind="connector.numbering")
    board_side: Reading = column("board side,mounted on", cell="board side", kind="connector.numbering")
    keyed: Reading = column("keyed,shrouded,polarised,polarized", cell="yes or no", kind="connector.numbering")
    note: Reading = column(
        "note,notes,remark,remarks,comment,description,bemerkung,bemerkungen,anmerkung,remarque,commentaire,nota,"
        "observaciones,备注",
    )
    extra: Extra = ()
    contacts: Mapping[str, Contact] = field(default_factory=dict)
    origin: Origin = field(compare=False)

    @property
    def size(self) -> int:
        """Number of contacts: as stated, or as listed; pads with a name beside numbered contacts are none."""
        stated = self.count.quantity
        if stated is not None:
            return int(stated.magnitude)
        return sum(map(str.isdecimal, self.contacts)) or len(self.contacts)
