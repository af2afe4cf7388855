"""Common given names in English and Spanish, folded: a hint that tells given names from surnames, no rule.

Common practice, no source. Names that are as usual as surnames (Santiago, Santos, Cruz, James) are left out.
"""

_WORDS = """
aaron abel abigail abraham adam adan adela adolfo adrian adriana agustin aida alan albert alberto
alejandra alejandro alexander alfonso alfredo alicia alma alonso alvaro amanda amy ana anabel andrea
andres andrew angel angela angelica anna anthony antonia antonio araceli armando arnold arturo ashley
aurelio aurora bartolome beatriz benito benjamin bernardo bertha betty brandon brenda brian bruno camila
carla carlos carmen carol carolina catalina cecilia cesar charles christian christina christine
christopher cindy clara claudia cristian cristina cristobal cynthia daniel daniela danny david deborah
delia dennis diana diego dolores donald donna dora edgar edith eduardo edward edwin efrain elena eleazar
elias elisa elizabeth eloisa elsa elvira emanuel emilia emilio emily emma enrique eric erica erick
ernesto esperanza esteban estela esther eugenio eva evelyn ezequiel fabian fabiola federico felipe
fernanda fernando fidel francisca francisco gabriel gabriela genaro gerardo german gilberto gloria
gonzalo graciela gregorio gregory guadalupe guillermo gustavo hector helen heriberto hernan hilda homero
horacio hugo humberto ignacio ines irene irma isaac isabel isaias ismael israel ivan jacinto jacob
jacqueline jaime janet jason javier jeffrey jennifer jeremy jesica jessica jesus joan joaquin joe joel
john johnny jonathan jorge jose josefina joseph joshua josue juan juana judith julia julian juliana julie
julieta julio justin karen karina karla katherine kathleen kelly kenneth kevin kimberly larry laura
leonardo leonel leonor leticia lidia liliana linda lisa lizbeth lorena lorenzo lourdes lucas lucia lucio
luis luisa luz magdalena manuel manuela marcela marcelo marco marcos margaret margarita maria mariana
maricela mario marisol mark marta martha mary mateo matthew mauricio melissa mercedes michael michelle
miguel minerva miriam moises monica nancy natalia nathan nicholas nicolas noe noel noemi nora norma
octavio ofelia olga olivia omar oscar pablo pamela patricia patrick paul paula pedro peter rachel rafael
raimundo ralph ramiro ramon raquel raul rebeca rebecca reynaldo ricardo richard roberto robert rocio
rodolfo rodrigo rogelio roger roman ronald rosa rosalia rosario roxana ruben ruth ryan salvador samantha
samuel sandra sara sarah saul scott sebastian sergio sharon silvia sofia sonia stephanie stephen steven
susan susana sylvia tania teresa theresa thomas timothy tomas trinidad tyler ubaldo ulises valentin
valentina valeria vanessa veronica vicente victor victoria vincent violeta virginia viviana walter
wilfredo william wilson ximena yadira yesenia yolanda zacarias
"""
GIVEN_NAMES = frozenset(_WORDS.split())
