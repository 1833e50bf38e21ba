"""Parts and what one row of a parts list says of them, column by column.

Of every column all spellings that are accepted, in English, German, French, Spanish and Chinese (common practice, no
source).
"""

from __future__ import annotations

from dataclasses import dataclass, field

from revdiff.design.fields import column
from revdiff.design.origin import Origin
from revdiff.design.reading import EMPTY, Reading

Extra = tuple[tuple[str, Reading], ...]

FITTED = Reading("", True)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartData:
    """What one row of a parts list says of every part it names.

    ``nets`` stays empty in a design; matching fills it with the nets at a part's terminals, where they are known.
    """

    value: Reading = column(
        "value,val,comment,nominal value,component value,part value,resistance,capacitance,inductance,wert,nennwert,"
        "valeur,valor,值,数值,参数,阻值,容值",
        cell="own",
        kind="part.value",
        seen_by="assembly,buying",
    )
    package: Reading = column(
        "package,footprint,case,size,case size,package size,pattern,land pattern,pcb footprint,package type,gehäuse,"
        "bauform,baugröße,gehäuseform,boîtier,empreinte,encapsulado,huella,封装,封装形式",
        cell="package",
        kind="part.package",
        seen_by="assembly,buying",
    )
    manufacturer: Reading = column(
        "manufacturer,mfr,mfg,maker,manufacturer name,mfr name,mfg name,maker name,brand,vendor,hersteller,fabricant,"
        "constructeur,fabricante,制造商,厂商,厂家,品牌,生产厂家",
        kind="part.substituted",
        seen_by="buying",
    )
    part_number: Reading = column(
        "part number,mpn,part no,part,part nr,manufacturer part number,manufacturer part,mfr part number,mfr part,"
        "mfr no,mfr pn,mfg part number,mfg pn,maker pn,maker no,manufacturer pn,pn,order number,ordering code,part num,"
        "manufacturer part no,maker part number,herstellernummer,herstellerteilenummer,herstellernr,"
        "hersteller teilenr,teilenummer,artikelnummer,bestellnummer,bestellnr,référence fabricant,réf fabricant,"
        "numéro de pièce,code fabricant,número de parte,número de pieza,referencia fabricante,"
        "referencia del fabricante,型号,料号,制造商料号,制造商型号,厂商型号,厂家型号,器件型号,规格型号",
        kind="part.substituted",
        seen_by="assembly,buying",
    )
    order_code: Reading = column(
        "order code,order codes,supplier part number,supplier part,supplier part no,supplier pn,supplier code,"
        "supplier order number,supplier order code,distributor part number,distributor part,distributor part no,"
        "distributor pn,distributor code,distributor order number,dealer code,dealer part number,vendor part number,"
        "vendor part no,vendor pn,vendor code,sku,supplier link,distributor link,dealer link,order link,shop link,"
        "buy link,purchase link,supplier url,order url,lieferantennummer,lieferanten artikelnummer,"
        "référence fournisseur,code fournisseur,referencia proveedor,código proveedor,供应商料号,供应商编号,订货号",
        cell="own",
        seen_by="buying",
    )
    tolerance: Reading = column(
        "tolerance,tol,toleranz,tolérance,tolerancia,精度,公差,误差",
        cell="tolerance",
        kind="part.rating",
    )
    voltage: Reading = column(
        "voltage,voltage rating,rated voltage,volt,volts,v rating,working voltage,max voltage,spannung,nennspannung,"
        "spannungsfestigkeit,tension,tension nominale,tensión,tensión nominal,voltaje,电压,耐压,额定电压",
        unit="V",
        kind="part.rating",
    )
    power: Reading = column(
        "power,power rating,rated power,watt,watts,wattage,leistung,nennleistung,belastbarkeit,puissance,potencia,"
        "功率,额定功率",
        unit="W",
        kind="part.rating",
    )
    current: Reading = column(
        "current,current rating,rated current,amps,max current,strom,nennstrom,courant,intensité,corriente,"
        "corriente nominal,电流,额定电流",
        unit="A",
        kind="part.rating",
    )
    land_pattern: Reading = column("land pattern name,footprint name", cell="own", seen_by="assembly")
    dielectric: Reading = column(
        "dielectric,dielectric code,temperature characteristic,tempco,temp coefficient,material,dielektrikum,"
        "diélectrique,dieléctrico,介质,材质",
        cell="dielectric",
        kind="part.rating",
    )
    fitted: Reading = column(
        "fitted,fit,stuff,populate,populated,population,mounted,mount,placed,place,assemble,assembled,stuffed,"
        "fitted state,bestückt,bestückung,bestücken,monté,à monter,montado,montar,poblado,贴装,是否贴装",
        cell="own",
        kind="part.fitted",
        default=FITTED,
    )
    alternates: Reading = column(
        "alternates,alternate,alternative,alternatives,alt,alt mpn,alternate part,alternate parts,second source,"
        "substitutes,alternate part number,alternativen,ersatztyp,ersatz,zweitquelle,équivalent,équivalents,"
        "remplacement,alternativa,alternativas,equivalente,equivalentes,替代,替代料,替代型号",
        cell="list",
        seen_by="buying",
    )
    lifecycle: Reading = column(
        "life cycle,lifecycle state,life cycle state,lifecycle status,status,availability,part status,lebenszyklus,"
        "verfügbarkeit,cycle de vie,disponibilité,ciclo de vida,disponibilidad,生命周期,状态",
        kind="part.lifecycle",
        seen_by="buying",
    )
    cost: Reading = column(
        "cost,unit cost,price,unit price,cost each,price each,unit cost in eur,cost per unit,preis,stückpreis,"
        "einzelpreis,kosten,prix,prix unitaire,coût,precio,precio unitario,coste,costo,单价,价格",
        cell="own",
        kind="part.cost",
        seen_by="buying",
    )
    currency: Reading = column(
        "currency,cur,price currency,cost currency,währung,devise,monnaie,moneda,divisa,货币,币种",
        kind="part.cost",
        seen_by="buying",
    )
    description: Reading = column(
        "description,desc,part description,details,text,designation,beschreibung,bezeichnung,benennung,désignation,"
        "descripción,描述,说明,名称",
        seen_by="buying",
    )
    software: Reading = column("software,firmware name", seen_by="firmware")
    address: Reading = column("address,bus address,i2c address", seen_by="firmware")
    rotation: Reading = column("rotation,rot,angle", cell="turn", unit="°", seen_by="firmware,assembly")
    side: Reading = column("side,layer", cell="board side", seen_by="firmware,assembly")
    nets: Reading = EMPTY
    extra: Extra = ()


@dataclass(frozen=True, slots=True)
class Part:
    """One placed or unfitted component, named by its reference designator."""

    ref: str
    data: PartData
    origin: Origin = field(compare=False)
