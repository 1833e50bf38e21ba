"""The tables of a design: the records that their rows become, their columns, and what no table can lack."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from revdiff.design.connectors import Connector, Contact
from revdiff.design.fields import Field, columns_of, key
from revdiff.design.model import Joint
from revdiff.design.parts import PartData
from revdiff.design.pins import Need, Pin
from revdiff.quantities.text import squeeze


class Table(Struct, frozen=True, dict=True):
    """One kind of table. ``keys``: the columns that say which record a row speaks of.

    ``required`` is a list of alternatives: of each inner tuple one field has to be there. ``stand_ins``: the
    fields that are taken in place of a required one where a table lacks it. ``family``: the first word of the kinds of
    change; ``seen_by``: who reads the table.
    """

    name: str
    record: type
    family: str
    seen_by: str
    keys: tuple[Field, ...]
    required: tuple[tuple[str, ...], ...]
    stand_ins: Mapping[str, tuple[str, ...]] = {}

    @cached_property
    def columns(self) -> tuple[Field, ...]:
        """The columns that fill fields of the record."""
        readers = frozenset(self.seen_by.split(","))
        return tuple(
            replace(item, kind=item.kind or f"{self.family}.field", seen_by=item.seen_by or readers)
            for item in columns_of(self.record)
        )

    @cached_property
    def by_name(self) -> Mapping[str, Field]:
        """All columns by the name of their field."""
        return MappingProxyType({item.name: item for item in (*self.keys, *self.columns)})

    @cached_property
    def aliases(self) -> Mapping[str, str]:
        """The name of the field for every accepted spelling, without case, blanks and punctuation."""
        found: dict[str, str] = {}
        for item in self.by_name.values():
            for spelling in (item.name, *item.names):
                found.setdefault(squeeze(spelling), item.name)
        return MappingProxyType(found)

    @property
    def fields(self) -> tuple[str, ...]:
        """The field names in their usual order."""
        return tuple(self.by_name)

    def names(self, **wanted: str) -> tuple[str, ...]:
        """The fields whose record has these values: ``PINS.names(bound="place")``."""
        return tuple(
            item.name for item in self.columns if all(getattr(item, what) == value for what, value in wanted.items())
        )

    @property
    def kinds(self) -> Mapping[str, str]:
        """The kind of a change by field."""
        return {item.name: item.kind for item in self.columns}


PARTS = Table(
    "parts list",
    PartData,
    "part",
    "assembly",
    (
        key(
            "item",
            "item,item no,line,line no,row,no,nr,number,index,id,item number,line number,lfd nr,laufende nummer,"
            "n°,序号,"
            "编号",
        ),
        key(
            "designator",
            "designator,designators,refdes,refdess,reference,references,reference designator,"
            "reference designators,ref,"
            "refs,ref des,component,components,parts,part reference,position,pos,bezeichner,referenz,referenzen,"
            "bauteilkennzeichen,kennzeichen,bauteile,positionen,repère,repères,référence,références,referencia,"
            "referencias,designador,designadores,位号,标号,元件位号,元件标号,参考编号",
        ),
        key(
            "quantity",
            "quantity,qty,count,amount,quantity per board,qty per board,quantity per pcb,quant,pcs,menge,anzahl,"
            "stück,"
            "stückzahl,quantité,qté,cantidad,cant,数量,用量",
        ),
        key(
            "value_code",
            "value code,code,marking,marking code,aufdruck,marquage,marcado,丝印",
        ),
        key(
            "not_fitted",
            "not fitted,dnp,dni,dnf,do not place,do not fit,do not populate,do not install,not mounted,unfitted,"
            "not populated,exclude,nicht bestückt,nicht bestücken,unbestückt,non monté,ne pas monter,no montado,"
            "no montar,sin montar,不贴,不贴装,不焊",
        ),
    ),
    (("designator",),),
)

PINS = Table(
    "pin map",
    Pin,
    "pin",
    "firmware",
    (
        key(
            "device",
            "device,controller,mcu,chip,ic,module,refdes,designator,reference,component,baustein,circuit,circuito,"
            "器件,芯片",
        ),
        key(
            "pin",
            "pin,pin number,pin no,number,package pin,no,pin nr,pad,pin num,pinnummer,pinnr,anschluss,"
            "anschlussnummer,"
            "broche,numéro de broche,n° broche,patilla,número de pin,引脚,引脚号,管脚,管脚号",
        ),
    ),
    (("pin", "port"), ("signal",)),
    {"signal": ("function", "purpose")},
)

CONTACTS = Table(
    "contact table",
    Contact,
    "contact",
    "stacking",
    (
        key(
            "connector",
            "connector,conn,header,refdes,designator,reference,plug,socket,connector name,stecker,steckverbinder,"
            "buchse,"
            "stiftleiste,connecteur,conector,连接器,接插件",
        ),
        key(
            "contact",
            "contact,pin,pin number,contact number,number,no,position,pos,pin no,contact no,way,kontakt,kontaktnr,"
            "kontaktnummer,pinnummer,pinnr,broche,numéro de broche,contacto,patilla,触点,引脚,引脚号,针脚,脚位",
        ),
    ),
    (("contact",), ("signal",)),
    {"signal": ("function",)},
)

CONNECTORS = Table(
    "connector table",
    Connector,
    "connector",
    "stacking",
    (
        key(
            "connector",
            "connector,conn,header,ref,refs,refdes,ref des,designator,reference,reference designator,connector name,"
            "name,id,stecker,steckverbinder,bezeichner,referenz,kennzeichen,connecteur,repère,référence,conector,referencia,"
            "designador,连接器,接插件,位号",
        ),
    ),
    (("connector",),),
)

NEEDS = Table(
    "list of needs",
    Need,
    "contract",
    "firmware",
    (),
    (("signal",),),
)

JOINTS = Table(
    "list of joints",
    Joint,
    "joint",
    "stacking",
    (
        key(
            "board_a",
            "board A,board 1,lower board,from board,first board",
        ),
        key(
            "connector_a",
            "connector A,connector 1,lower connector,from connector,first connector",
        ),
        key(
            "board_b",
            "board B,board 2,upper board,to board,second board",
        ),
        key(
            "connector_b",
            "connector B,connector 2,upper connector,to connector,second connector",
        ),
        key(
            "contacts",
            "contacts,contact order,pairing,mating,contact pairing,order",
        ),
    ),
    (("board_a",), ("connector_a",), ("board_b",), ("connector_b",)),
)

TABLES = (PARTS, PINS, CONTACTS, CONNECTORS, NEEDS, JOINTS)
BY_RECORD: Mapping[type, Table] = MappingProxyType({item.record: item for item in TABLES})
